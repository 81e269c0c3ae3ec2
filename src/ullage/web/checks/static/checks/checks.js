// Timers and tiles of a check; every step works without this file.
"use strict";

const SECOND_MS = 1000;

// <p data-wait="10">: a button that counts down, then says that the time is over.
function runWait(box) {
  const shown = box.querySelector("output");
  const end = performance.now() + Number(box.dataset.wait) * SECOND_MS;
  const button = box.querySelector("button");
  button.disabled = true;
  function tick() {
    const left = Math.ceil((end - performance.now()) / SECOND_MS);
    if (left > 0) {
      shown.textContent = `${left} s to wait`;
      setTimeout(tick, 200);
    } else {
      shown.textContent = "Time is over: look now.";
      button.disabled = false;
    }
  }
  tick();
}

// <p data-watch="id of a field">: a stopwatch that writes its seconds into the field when stopped.
function pressWatch(box) {
  const shown = box.querySelector("output");
  const button = box.querySelector("button");
  if (box.dataset.began) {
    const seconds = (performance.now() - Number(box.dataset.began)) / SECOND_MS;
    document.getElementById(box.dataset.watch).value = seconds.toFixed(1);
    delete box.dataset.began;
    button.textContent = "Stopwatch";
    shown.textContent = `${seconds.toFixed(1)} s`;
    return;
  }
  box.dataset.began = performance.now();
  button.textContent = "Stop";
  (function tick() {
    if (!box.dataset.began) return;
    const seconds = (performance.now() - Number(box.dataset.began)) / SECOND_MS;
    shown.textContent = `${seconds.toFixed(0)} s`;
    setTimeout(tick, 200);
  })();
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const tiles = button.closest("[data-for]");
  if (tiles) {
    const field = document.getElementById(tiles.dataset.for);
    field.value = button.textContent.trim();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  const wait = button.closest("[data-wait]");
  if (wait) runWait(wait);
  const watch = button.closest("[data-watch]");
  if (watch) pressWatch(watch);
});

document.addEventListener("DOMContentLoaded", () => {
  for (const box of document.querySelectorAll("[data-for], [data-wait], [data-watch]")) box.hidden = false;
});
