// The page that plans a case: what was unfolded stays so when new answers come.
"use strict";

(() => {
  const nameOf = (one) => {
    const around = one.closest("article, section");
    const heading = around && around.querySelector("h2, h3");
    return heading ? heading.textContent : "";
  };
  let unfolded = new Set();

  document.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.target.id !== "plan-answers") return;
    const open = event.detail.target.querySelectorAll("details[open]");
    unfolded = new Set([...open].map(nameOf));
  });
  document.addEventListener("htmx:afterSettle", () => {
    for (const one of document.querySelectorAll("#plan-answers details")) {
      if (unfolded.has(nameOf(one))) one.open = true;
    }
  });
  document.addEventListener("click", (event) => {
    const fill = event.target.closest("[data-fill]");
    if (!fill) return;
    const field = document.getElementById(fill.dataset.fill);
    if (!field) return;
    event.preventDefault();
    field.value = fill.value;
    field.focus();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
})();
