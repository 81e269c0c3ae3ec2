// The page of a running case follows its record: a stream tells that it has grown, else it looks.
// Every part works without this file; then the page is opened anew.
"use strict";

const LOOK_MS = 2000;
// Room for the words beside the line of now.
const NOW_FROM_RIGHT_PX = 76;
const live = document.getElementById("live");

function grown(count) {
  if (Number(live.dataset.count) === count) return;
  live.dataset.count = count;
  document.dispatchEvent(new Event("ullage:grown"));
}

let isStreaming = false;

function listen() {
  const source = new EventSource(live.dataset.stream);
  source.addEventListener("open", () => { isStreaming = true; });
  source.addEventListener("grown", (event) => grown(JSON.parse(event.data).count));
  source.addEventListener("error", () => {
    isStreaming = false;
    if (source.readyState === EventSource.CLOSED) setTimeout(listen, LOOK_MS);
  });
  addEventListener("pagehide", () => source.close(), { once: true });
}

/** Where no stream comes through, the head of the record is looked at. */
async function look() {
  if (!isStreaming && document.visibilityState === "visible") {
    try {
      const answer = await fetch(live.dataset.head, { headers: { Accept: "application/json" } });
      if (answer.ok && !answer.redirected) grown((await answer.json()).count);
    } catch {
      // Not connected: the pad says so.
    }
  }
  setTimeout(look, LOOK_MS);
}

/** What somebody is typing in, or has opened, stays as it is while a part is put in its place. */
function isInUse(part) {
  const field = document.activeElement;
  const types = field && part.contains(field) && field.matches("input, textarea, select");
  return types && (field.type !== "radio");
}

function opened(part) {
  return [...part.querySelectorAll("details")].map((one) => one.open);
}

function reopen(part, were) {
  part.querySelectorAll("details").forEach((one, place) => { if (were[place]) one.open = true; });
}

const before = new Map();

document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const part = event.detail.target;
  if (!part?.id) return;
  if (isInUse(part)) {
    event.detail.shouldSwap = false;
    return;
  }
  before.set(part.id, { were: opened(part), left: part.querySelector(".scroll")?.scrollLeft ?? null });
});

document.addEventListener("htmx:beforeSwap", (event) => {
  const part = event.detail.target;
  if (["levels", "oxygen"].includes(part?.id)) before.set(part.id, { were: opened(part), left: null });
});

function settled() {
  for (const [id, { were, left }] of before) {
    const part = document.getElementById(id);
    if (!part) continue;
    reopen(part, were);
    const scroll = part.querySelector(".scroll");
    if (left !== null && scroll) scroll.scrollLeft = left;
  }
  before.clear();
  for (const said of document.querySelectorAll("[data-last-of]")) {
    const field = said.closest(".tile")?.querySelector("input");
    if (!field || field.dataset.last === said.dataset.lastOf) continue;
    field.dataset.last = said.dataset.lastOf;
    // The keys beside a field that is chosen already offer the values around the new one.
    if (field === document.activeElement) field.dispatchEvent(new FocusEvent("focusin", { bubbles: true }));
  }
}

document.addEventListener("htmx:afterSettle", settled);

/** A chart that scrolls begins with what was just seen: now stands near its right edge. */
function showNow(scroll) {
  if (!scroll) return;
  const now = scroll.querySelector(".now");
  const right = scroll.getBoundingClientRect().right;
  scroll.scrollLeft += now ? now.getBoundingClientRect().left - right + NOW_FROM_RIGHT_PX : scroll.scrollWidth;
}

/** Once it has moved, the names of its rows lie over its left edge. */
document.addEventListener("scroll", ({ target }) => {
  if (target.matches?.("#chart .scroll")) target.classList.toggle("is-moved", target.scrollLeft > 0);
}, { capture: true, passive: true });

/** A link to a part that is folded opens it. */
function unfold() {
  const part = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
  if (part && part.matches("details")) {
    part.open = true;
    part.querySelector("input, button")?.focus({ preventScroll: true });
  }
}

addEventListener("hashchange", unfold);
document.addEventListener("DOMContentLoaded", () => {
  unfold();
  showNow(document.querySelector("#chart .scroll"));
});

if (live) {
  if ("EventSource" in window) listen();
  setTimeout(look, LOOK_MS);
}
