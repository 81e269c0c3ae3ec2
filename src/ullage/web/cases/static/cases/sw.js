// Service worker: opens the running pages of open cases while the server is away.
// The server writes VERSION, FILES, AWAY, LOGIN, LOGOUT, LOCK and LOCKED above this line. It keeps no entry and
// never touches the queue: a new version of it loses nothing.
/* global VERSION, FILES, AWAY, LOGIN, LOGOUT, LOCK, LOCKED */

const STATIC = `ullage-static-${VERSION}`;
const PAGES = "ullage-pages-1";
const LATER = "ullage-later-1";
const PATIENCE_MS = 6000;
const FRESH_MS = 600_000;
const ANY = { ignoreVary: true };
const GONE = new Set([403, 404, 410]);

addEventListener("install", (event) => {
  skipWaiting();
  event.waitUntil(caches.open(STATIC).then((cache) => cache.addAll([...FILES, AWAY])));
});

addEventListener("activate", (event) => {
  event.waitUntil(Promise.all([clients.claim(), renew()]));
});

/** Fetch kept pages again; files of older versions go only when no kept page needs them any more. */
async function renew() {
  const pages = await caches.open(PAGES);
  const renewed = await Promise.all((await pages.keys()).map(({ url }) => keepPage(url)));
  if (!renewed.every(Boolean)) return;
  const old = (await caches.keys()).filter((name) => name.startsWith("ullage-static-") && name !== STATIC);
  await Promise.all(old.map((name) => caches.delete(name)));
}

/** A page by its address: another animal of a group is another page. */
function pathOf(url) {
  const { pathname, search } = new URL(url, location.origin);
  return pathname + search;
}

/** Goes up with every sign-in and sign-out: what was asked for before is not kept after. */
let sitting = 0;

async function clear() {
  sitting += 1;
  await caches.delete(PAGES);
}

/** Keep a page that says it may be kept, with the files that it names; drop it when it says so no more. */
async function store(path, answered, since) {
  if (since !== sitting) return;
  const pages = await caches.open(PAGES);
  if (!answered.ok || answered.headers.get("Ullage-Keep") !== "yes") {
    if (answered.ok || GONE.has(answered.status)) await pages.delete(path, ANY);
    return;
  }
  const text = await answered.clone().text();
  if (since !== sitting) return;
  await pages.put(path, answered);
  const files = await caches.open(STATIC);
  const named = new Set([...text.matchAll(/(?:src|href)="(\/static\/[^"#?]+)/g)].map(([, file]) => file));
  for (const file of named) {
    if (!await files.match(file, ANY)) await files.add(file).catch(() => {});
  }
}

/** Fetch a page to keep it; whether the server answered. */
async function keepPage(url) {
  const since = sitting;
  try {
    const answered = await fetch(pathOf(url), { credentials: "same-origin", redirect: "manual" });
    if (answered.type === "opaqueredirect") return true;
    await store(pathOf(url), answered, since);
    return answered.status < 500;
  } catch {
    return false;
  }
}

async function isFresh(url) {
  const kept = await (await caches.open(PAGES)).match(pathOf(url), ANY);
  return kept && Date.now() - Date.parse(kept.headers.get("Date")) < FRESH_MS;
}

async function keepAll({ keep = [], ahead = [] }) {
  for (const url of keep) await keepPage(url);
  for (const url of ahead) if (!await isFresh(url)) await keepPage(url);
}

addEventListener("message", (event) => {
  if (event.data && (event.data.keep || event.data.ahead)) event.waitUntil(keepAll(event.data));
});

/** One fact of the pad's own store, read or written. */
function fact(key, value) {
  return new Promise((resolve) => {
    const opening = indexedDB.open("ullage-pad");
    opening.onupgradeneeded = () => opening.transaction.abort();
    opening.onerror = () => resolve(null);
    opening.onsuccess = () => {
      const database = opening.result;
      const transaction = database.transaction("facts", value === undefined ? "readonly" : "readwrite");
      const facts = transaction.objectStore("facts");
      const asked = value === undefined ? facts.get(key) : facts.put(value, key);
      transaction.oncomplete = () => { database.close(); resolve(asked.result ?? null); };
      transaction.onabort = () => { database.close(); resolve(null); };
    };
  });
}

/** What stands before a server that is away says so with one of these. */
function isAway(answered) {
  return answered.status >= 502 && answered.status <= 504;
}

/** The pad alone of the case whose page has this path. */
function padOf(path) {
  const [own, search = ""] = path.split("?");
  return `${own.endsWith("/pad/") ? own : `${own}pad/`}${search && `?${search}`}`;
}

function isLockPage(path) {
  return LOCKED !== "" && path.split("?")[0] === LOCKED;
}

/** The kept page; while the device is locked the pad alone. */
async function keptPage(path) {
  const wanted = (await fact("locked")) ? padOf(path) : path;
  const kept = await (await caches.open(PAGES)).match(wanted, ANY);
  return kept ?? (await caches.match(AWAY, ANY)) ?? Response.error();
}

function tooLong() {
  return new Promise((_, reject) => { setTimeout(reject, PATIENCE_MS, new Error("too long")); });
}

async function opened(event) {
  const path = pathOf(event.request.url);
  const since = sitting;
  const kept = await (await caches.open(PAGES)).match(path, ANY);
  try {
    await sayLater();
    const asked = fetch(event.request); // with no options of ours: it stays a navigation
    const answered = await (kept ? Promise.race([asked, tooLong()]) : asked);
    if (isAway(answered)) return await keptPage(path);
    if (isLockPage(path) && answered.ok) await fact("locked", { at: Date.now() });
    if (answered.type !== "opaqueredirect") event.waitUntil(store(path, answered.clone(), since));
    return answered;
  } catch {
    if (isLockPage(path)) await fact("locked", { at: Date.now() });
    return keptPage(path);
  }
}

/** What the server did not hear, signing out or locking, is said to it before anything else is opened. */
async function sayLater() {
  const later = await caches.open(LATER);
  const headers = { "Content-Type": "application/x-www-form-urlencoded" };
  for (const { url } of await later.keys()) {
    const body = await (await later.match(url, ANY)).text();
    await fetch(url, { method: "POST", body, headers, credentials: "same-origin", redirect: "manual" });
    await later.delete(url, ANY);
  }
}

/** Signing in or out: kept pages go, what waits stays. Without a server the device remembers to say it. */
async function left(event, path) {
  const said = event.request.clone();
  try {
    const answered = await fetch(event.request);
    if (isAway(answered)) throw new Error("away");
    if (answered.type === "opaqueredirect" || answered.redirected) await clear();
    return answered;
  } catch {
    if (path !== LOGOUT) return (await caches.match(AWAY, ANY)) ?? Response.error();
    await clear();
    await (await caches.open(LATER)).put(LOGOUT, new Response(await said.text()));
    return Response.redirect(AWAY, 303);
  }
}

/** Locking without a server: the pad of the case from which it was asked for. */
async function lockedNow(event) {
  const said = event.request.clone();
  try {
    const answered = await fetch(event.request);
    if (!isAway(answered)) return answered;
  } catch { /* the server is away */ }
  await (await caches.open(LATER)).put(LOCK, new Response(await said.text()));
  await fact("locked", { at: Date.now() });
  const pad = padOf(pathOf(event.request.referrer || event.request.url));
  const isKept = await (await caches.open(PAGES)).match(pad, ANY);
  return Response.redirect(isKept ? pad : AWAY, 303);
}

async function file(request) {
  const kept = (await (await caches.open(STATIC)).match(request, ANY));
  if (kept) return kept;
  return fetch(request).catch(async () => (await caches.match(request, ANY)) ?? Response.error());
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.mode === "navigate" && request.method === "GET") event.respondWith(opened(event));
  else if (request.mode === "navigate" && [LOGIN, LOGOUT].includes(url.pathname)) {
    event.respondWith(left(event, url.pathname));
  } else if (request.mode === "navigate" && url.pathname === LOCK) event.respondWith(lockedNow(event));
  else if (request.method === "GET" && url.pathname.startsWith("/static/")) event.respondWith(file(request));
});
