// Without a server nobody can be asked for a password: the screen goes over to the pad alone, which
// takes entries for their author to confirm and shows neither names nor history.

import { ask } from "./send.js";
import { keepFact } from "./store.js";

let isLocking = false;

/** The server locks too as soon as it hears of it: before it opens anything, the worker says so. */
async function tellLater() {
  const form = document.getElementById("lock-form");
  if (!form) return;
  const later = await caches.open("ullage-later-1");
  await later.put(form.action, new Response(new URLSearchParams(new FormData(form)).toString()));
}

async function lock() {
  const pad = document.querySelector("link[data-keep]")?.href;
  if (isLocking || !pad) return;
  isLocking = true;
  const { status } = await ask("/api/epoch/");
  if (status === 0) {
    await tellLater();
    await keepFact("locked", { at: Date.now() });
    location.replace(pad);
  }
  isLocking = false;
}

/** When the screen is to be locked and the server is away; with a server it locks by itself. */
export function lockAlone() {
  document.addEventListener("ullage:lock", lock);
}
