// The unit beside the big number follows the choice under it; every page works without this file.
"use strict";

document.addEventListener("change", (event) => {
  const form = event.target.closest(".entry");
  if (!form || event.target.name !== "unit") return;
  const shown = form.querySelector("[data-unit]");
  if (shown) shown.textContent = event.target.value;
});
