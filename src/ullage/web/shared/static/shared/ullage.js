// Small helps only; every page works without this file.
"use strict";

function focusErrors(root) {
  const said = root.querySelector("[data-focus]");
  if (said) said.focus();
}

// Number keys: <div class="pad" data-pad="id of the field" hidden> with buttons data-key="7",
// data-key="clear" and data-key="delete". The keys show only where this script runs.
function pressKey(field, key) {
  if (key === "clear") field.value = "";
  else if (key === "delete") field.value = field.value.slice(0, -1);
  else field.value += key;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function showPads(root) {
  for (const pad of root.querySelectorAll("[data-pad]")) pad.hidden = false;
}

document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]");
  if (key) {
    const field = document.getElementById(key.closest("[data-pad]").dataset.pad);
    if (field) pressKey(field, key.dataset.key);
  }
  if (event.target.closest("[data-print]")) window.print();
});

document.addEventListener("DOMContentLoaded", () => {
  showPads(document);
  focusErrors(document);
});
document.addEventListener("htmx:afterSwap", (event) => {
  showPads(event.detail.target);
  focusErrors(event.detail.target);
});
