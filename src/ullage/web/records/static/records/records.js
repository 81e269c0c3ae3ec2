// Copies a text that the page shows; without this file it is chosen and copied by hand.
"use strict";

for (const button of document.querySelectorAll("[data-copy]")) {
  if (!navigator.clipboard) continue;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const says = document.querySelector("[data-copy-says]");
    try {
      await navigator.clipboard.writeText(document.getElementById(button.dataset.copy).textContent);
      says.textContent = "Copied.";
    } catch {
      says.textContent = "It could not be copied: choose the text and copy it by hand.";
    }
  });
}
