// Without a server nobody can be asked for a password: the screen goes over to the pad alone, which
// takes entries for their author to confirm and shows neither names nor history.

import { ask } from "./send.js";
import { keepFact } from "./store.js";

let isLocking = false;

async function lock() {
  const pad = document.querySelector("link[data-keep]")?.href;
  if (isLocking || !pad) return;
  isLocking = true;
  const { status } = await ask("/api/epoch/");
  if (status === 0) {
    await keepFact("locked", { at: Date.now() });
    location.replace(pad);
  }
  isLocking = false;
}

/** When the screen is to be locked and the server is away; with a server it locks by itself. */
export function lockAlone() {
  document.addEventListener("ullage:lock", lock);
}
