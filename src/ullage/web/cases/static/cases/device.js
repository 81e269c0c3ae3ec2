// On every page: what waits on this device is said and sent, whoever is signed in.

import { runsAhead, time } from "./clock.js";
import { lockAlone } from "./lock.js";
import { counted, made, meta, shape } from "./made.js";
import { ask, heard, net, say, sendNow, start } from "./send.js";
import { fact, keepFact, retry, waiting } from "./store.js";

const PAGES = "ullage-pages-1";
const EARLY_MS = 2 * 3_600_000;
const REFRESH_MS = 120_000;

const OLD_MS = 60_000;
const ODD_CLOCK_S = 60;

const opened = Date.now();
let offset = null;
const user = meta("ullage-user");
const hasPad = document.querySelector("form[data-pad]") !== null;
const isLocked = document.body.hasAttribute("data-pad-only");
let isKeeping = false;
let hasTicket = null;

/** Resolves once a ticket was asked for, whatever came of it. */
export const ticketed = new Promise((done) => { hasTicket = done; });

/** Whether entries can be kept here: a secure context whose store answers. */
export function canKeep() {
  return isKeeping;
}

/** Somebody else is signed in now: pages of the one before go, what waits stays. */
async function meet() {
  if (isLocked || !user) return;
  await keepFact("locked", null);
  if (await fact("user") === user) return;
  await caches.delete(PAGES);
  await keepFact("ticket", null);
  await keepFact("user", user);
}

/** A ticket of the server says who is signed in here, and proves it later. */
async function ticket() {
  if (isLocked || !user || !(hasPad || document.querySelector("a[data-keep]"))) return;
  const kept = await fact("ticket");
  const code = await fact("tablet");
  const isGood = kept && kept.username === user && (kept.tablet ?? null) === code;
  if (isGood && Date.parse(kept.until) - Date.now() > EARLY_MS) return;
  const { status, said } = await ask("/api/ticket/", { tablet: code });
  if (status === 200) await keepFact("ticket", { ...said, username: user, tablet: code });
}

/** Let the service worker keep this page, its pad and the open cases that it leads to. */
async function keepPages() {
  if (!user && !isLocked) return;
  const worker = (await navigator.serviceWorker.ready).active;
  const links = [...document.querySelectorAll("a[data-keep]")].map((one) => one.href);
  const pads = [...document.querySelectorAll("link[data-keep]")].map((one) => one.href);
  const own = hasPad && !isLocked ? [location.href.split("#")[0]] : [];
  if (net.is.isOn !== false) worker.postMessage({ keep: [...own, ...pads], ahead: links });
}

async function work() {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" }).catch(() => {});
  await keepPages();
  if (hasPad) setInterval(() => document.visibilityState === "visible" && keepPages(), REFRESH_MS);
}

function words(count, oldest) {
  const { isOn, offSince, asksSignIn } = net.is;
  const waits = count ? `${counted(count, "entry waits", "entries wait")}` : "";
  if (isOn === false) return [waits || "Nothing waits", `offline since ${time(offSince)}`];
  if (count && asksSignIn) return [waits, "sign in to share"];
  if (count) return [waits, `since ${time(oldest)}`];
  return null;
}

/** The place in the bar: what waits, or since when all is shared. */
async function drawBar(count, oldest) {
  const place = document.querySelector("[data-sync]");
  if (!place) return;
  const shared = await fact("shared");
  const calm = hasPad ? ["Saved on this device", shared ? `shared ${time(shared)}` : "nothing waits"] : null;
  const said = words(count, oldest) ?? calm;
  const site = document.querySelector("[data-site]");
  place.hidden = !said;
  if (site) site.hidden = Boolean(said);
  if (!said) return;
  const [first, second] = count ? [made("strong", {}, said[0]), said[1]] : [said[0], made("strong", {}, said[1])];
  place.replaceChildren(first, made("br"), second);
}

function button(text, action) {
  const one = made("button", { type: "button", class: "btn" }, text);
  one.addEventListener("click", action);
  return one;
}

async function tryNow() {
  await retry();
  const { status } = await ask("/api/epoch/");
  if (status) heard(true);
  await sendNow();
}

function stripOf(look, bold, text, holds) {
  return made("div", { class: "wrap" },
    made("span", { class: `v v--${look}` }, shape(`v-${look}`), bold),
    made("span", {}, text), holds);
}

/** Whether the page came from what the device had kept, and the server is back since. */
function isOld() {
  const made = Date.parse(meta("ullage-made"));
  return hasPad && !isLocked && opened - (offset ?? 0) * 1000 - made > OLD_MS;
}

/** What the strip under the bar says; null where all is well. */
function strip(count) {
  const alone = count ? `${counted(count, "entry waits", "entries wait")} here, on this device alone.` : "";
  if (net.is.isOn === false) {
    const then = meta("ullage-made");
    const from = hasPad && then && !isLocked ? ` Numbers on this page are from ${time(Math.max(Date.parse(then), net.is.seenAt ?? 0))}.` : "";
    const on = hasPad ? `Go on working. ${alone || "Nothing waits."}${from}` : alone;
    return on || hasPad ? stripOf("look", `Not connected since ${time(net.is.offSince)}`, on, button("Try now", tryNow)) : null;
  }
  if (isOld()) {
    return stripOf("look", "This page was kept", `Its numbers are from ${time(Date.parse(meta("ullage-made")))}. ${alone}`,
      button("Load it anew", () => location.reload()));
  }
  if (net.is.asksSignIn && (count || hasPad)) {
    return stripOf("look", "Not shared", `${alone || "Entries are kept here."} Sign in to share what waits; whoever wrote it stays its author.`,
      button("Sign in", () => location.reload()));
  }
  if (hasPad && Math.abs(offset ?? 0) > ODD_CLOCK_S) {
    const way = offset > 0 ? "ahead" : "behind";
    return stripOf("look", `The clock of this device runs ${counted(Math.round(Math.abs(offset) / 60), "minute", "minutes")} ${way}`,
      "Set it right: entries carry the time that it shows.", "");
  }
  return null;
}

/** The strip stands above the page; what is under a finger stays where it is. */
function drawStrip(count) {
  const before = document.querySelector("[data-strip]");
  const holds = strip(count);
  const height = before?.offsetHeight ?? 0;
  if (!holds) before?.remove();
  else if (before) before.replaceChildren(holds);
  else document.querySelector("header.bar").after(made("div", { class: "strip-off", "data-strip": true, role: "status" }, holds));
  const now = document.querySelector("[data-strip]")?.offsetHeight ?? 0;
  if (document.activeElement?.closest("form[data-pad]")) scrollBy(0, now - height);
}

let drawing = null;
let isStale = false;

async function redraw() {
  offset = await fact("offset");
  runsAhead(offset);
  const lines = await waiting();
  const count = lines.length;
  document.documentElement.dataset.net = net.is.isOn === false ? "off" : "on";
  await drawBar(count, lines[0]?.kept_at);
  drawStrip(count);
  const said = count ? counted(count, "entry waits", "entries wait") : "Nothing waits";
  for (const place of document.querySelectorAll("[data-pad-waits]")) place.textContent = said;
}

function draw() {
  isStale = true;
  drawing ??= (async () => {
    while (isStale) {
      isStale = false;
      await redraw().catch(() => {});
    }
    drawing = null;
  })();
}

/** On the page for when nothing else is kept: the pages that are. */
async function listKept() {
  const place = document.querySelector("[data-away-pages]");
  if (!place) return;
  const isShut = Boolean(await fact("locked"));
  const pages = await caches.open(PAGES);
  const paths = (await pages.keys()).map(({ url }) => new URL(url)).map(({ pathname, search }) => pathname + search);
  const shown = paths.filter((path) => path.split("?")[0].endsWith("/pad/") === isShut);
  const titles = await Promise.all(shown.map(async (path) => {
    const text = await (await pages.match(path, { ignoreVary: true })).text();
    return new DOMParser().parseFromString(text, "text/html").title.split(" · ")[0];
  }));
  place.replaceChildren(...shown.map((path, at) => made("li", {}, made("a", { href: path }, titles[at]))));
  place.parentElement.hidden = !shown.length;
}

/** This device keeps nothing: say so where entries are made. */
function cannot(why) {
  if (!hasPad) return;
  const place = document.querySelector("header.bar");
  place.after(made("div", { class: "strip-off", "data-strip": true, role: "status" },
    stripOf("look", "This device keeps nothing for later", `${why} Entries go straight to the server; without it, write on paper.`, "")));
}

async function begin() {
  if (!isSecureContext) {
    return cannot("The page is not opened over a trusted connection (https).");
  }
  try {
    await waiting();
    isKeeping = true;
  } catch {
    return cannot("Its store is full, or the browser refuses it, as in a private window.");
  }
  await meet();
  listKept().catch(() => {});
  if (hasPad) navigator.storage?.persist?.().catch(() => {});
  for (const kind of ["changed", "shared"]) net.addEventListener(kind, draw);
  net.addEventListener("shared", () => document.dispatchEvent(new Event("ullage:shared")));
  draw();
  ticket().catch(() => {}).finally(hasTicket);
  start({ beats: hasPad }).then(draw);
  setInterval(ticket, REFRESH_MS);
  if (hasPad && !isLocked) lockAlone();
  work();
  return null;
}

/** Resolves once it is known whether this device keeps entries. */
export const ready = begin().catch(() => {});
document.addEventListener("submit", ({ target }) => {
  if (new URL(target.action, location.href).pathname !== "/accounts/logout/") return;
  keepFact("ticket", null).catch(() => {});
  if (isSecureContext) caches.delete(PAGES);
});
addEventListener("pageshow", async ({ persisted }) => {
  if (!persisted || !isKeeping) return;
  if (!isLocked && await fact("locked")) location.reload();
  say("changed");
});
