// The lock at the table: after so many minutes without a touch the screen is locked, in every
// window of this browser. Says to the server when somebody touched it last.
// <header data-lock-after="5" data-lock-url data-touch-url data-locked-url>; a page that works
// without the server listens to "ullage:lock" on document and hides names itself.
"use strict";
(() => {
  const bar = document.querySelector("[data-lock-after]");
  if (!bar) return;
  const after = Number(bar.dataset.lockAfter) * 60_000;
  const KEY = "ullage-touched";
  let told = Date.now();
  let locking = false;

  const last = () => Number(localStorage.getItem(KEY)) || 0;
  const touch = () => localStorage.setItem(KEY, String(Date.now()));
  const token = () => document.querySelector("#lock-form [name=csrfmiddlewaretoken]").value;
  const tell = (url) =>
    fetch(url, {
      method: "POST",
      headers: {
        "X-CSRFToken": token(),
        "X-Ullage-Touched": String(Math.max(0, Math.round((Date.now() - last()) / 1000))),
      },
    });

  async function lock() {
    if (locking) return;
    locking = true;
    document.dispatchEvent(new CustomEvent("ullage:lock"));
    try {
      await tell(bar.dataset.lockUrl);
      location.assign(`${bar.dataset.lockedUrl}?next=${encodeURIComponent(location.pathname + location.search)}`);
    } catch {
      locking = false; // no server: the page hides itself, and the next look tries again
    }
  }

  function look() {
    if (Date.now() - last() >= after) lock();
    else if (last() > told && Date.now() - told > 30_000) {
      told = Date.now();
      tell(bar.dataset.touchUrl).catch(() => {});
    }
  }

  touch();
  for (const name of ["pointerdown", "keydown", "wheel", "input"])
    document.addEventListener(name, touch, { passive: true, capture: true });
  document.addEventListener("visibilitychange", () => document.hidden || look());
  document.addEventListener("htmx:configRequest", (event) => {
    event.detail.headers["X-Ullage-Touched"] = String(Math.max(0, Math.round((Date.now() - last()) / 1000)));
  });
  setInterval(look, 2_000);
})();
