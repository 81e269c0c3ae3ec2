// Buttons that offer what was planned: <button data-fill="id of the field" data-value="..." hidden>.
// They show only where this script runs, and write nothing by themselves.
"use strict";

function showOffers(root) {
  for (const one of root.querySelectorAll("[data-fill]")) one.hidden = false;
}

document.addEventListener("click", (event) => {
  const offer = event.target.closest("[data-fill]");
  if (!offer) return;
  const field = document.getElementById(offer.dataset.fill);
  if (!field) return;
  field.value = offer.dataset.value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});

document.addEventListener("DOMContentLoaded", () => showOffers(document));
document.addEventListener("htmx:afterSwap", (event) => showOffers(event.detail.target));
