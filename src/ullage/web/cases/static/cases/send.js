// Sends what waits: in order, at most fifty lines a request, again after a cut, never two at once.

import { fact, forget, keepFact, offerAgain, refuse, settle, waiting } from "./store.js";

const MOST = 50;
const PATIENCE_MS = 15_000;
const FIRST_MS = 1000;
const LONGEST_MS = 60_000;
const BEAT_MS = 20_000;

/** Tells every tab of this browser that something changed. */
const channel = new BroadcastChannel("ullage-pad");

/** What is known of the server; `changed` events say that it is different now. */
export const net = new EventTarget();
net.is = { isOn: null, offSince: null, seenAt: null, asksSignIn: false, size: MOST };

function tell(kind, detail = {}) {
  net.dispatchEvent(new CustomEvent(kind, { detail }));
}

channel.onmessage = ({ data }) => tell(data.kind, data.detail);

/** Say to this tab and the others. */
export function say(kind, detail = {}) {
  tell(kind, detail);
  channel.postMessage({ kind, detail });
}

/** The server answered, or it did not. */
export function heard(isOn) {
  const now = Date.now();
  const was = net.is.isOn;
  net.is.isOn = isOn;
  if (isOn) Object.assign(net.is, { seenAt: now, offSince: null });
  else net.is.offSince ??= net.is.seenAt ?? now;
  if (was !== isOn) tell("changed");
}

function csrf() {
  return /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? "";
}

/** So many seconds ago somebody touched this browser: asking by itself must not keep a sitting open. */
function untouched() {
  const at = Number(localStorage.getItem("ullage-touched")) || 0;
  return String(Math.max(0, Math.round((Date.now() - at) / 1000)));
}

/** Ask the server; a status of 502 to 504 comes from what stands before it: it is away. */
export async function ask(path, body) {
  const head = { Accept: "application/json", "X-Ullage-Touched": untouched() };
  if (body !== undefined) Object.assign(head, { "Content-Type": "application/json", "X-CSRFToken": csrf() });
  try {
    const answered = await fetch(path, {
      method: body === undefined ? "GET" : "POST",
      headers: head,
      body: body === undefined ? undefined : JSON.stringify(body),
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    const isThere = answered.status < 502 || answered.status > 504;
    const status = answered.type === "opaqueredirect" ? 401 : answered.status;
    const said = status === 200 || status >= 400 ? await answered.json().catch(() => ({})) : {};
    heard(isThere);
    return { status: isThere ? status : 0, said };
  } catch {
    heard(false);
    return { status: 0, said: {} };
  }
}

/** How far the clock of this device runs ahead of the server, measured in the middle of a request. */
async function measure(before, serverAt) {
  const server = Date.parse(serverAt);
  if (Number.isFinite(server)) await keepFact("offset", ((before + Date.now()) / 2 - server) / 1000);
}

/** Another database answers than before: what it may have lost is offered again. */
async function meet(epoch) {
  if (!epoch) return;
  const offered = await offerAgain(epoch, Date.now());
  await keepFact("epoch", epoch);
  if (offered) say("changed");
}

/** The first lines that wait, all signed as one device. */
function batchOf(lines) {
  const ready = lines.filter((line) => !line.refused);
  const other = ready.findIndex((line) => line.tablet !== ready[0].tablet);
  return ready.slice(0, Math.min(net.is.size, other < 0 ? ready.length : other));
}

/** Whether the server wants somebody to sign in, or to unlock, before it goes on. */
function asks(status) {
  const was = net.is.asksSignIn;
  net.is.asksSignIn = [401, 403, 423].includes(status);
  if (was !== net.is.asksSignIn) tell("changed");
}

/** Send one batch. Returns whether there may be more to send at once. */
async function sendBatch() {
  const batch = batchOf(await waiting());
  if (!batch.length) return false;
  const lines = batch.map(({ word, signature, ticket }) => ({ word, signature, ticket }));
  const before = Date.now();
  const sent_at = new Date(before).toISOString();
  const { status, said } = await ask("/api/queue/", { tablet: batch[0].tablet, sent_at, lines });
  asks(status);
  if (status === 200) return settled(batch, said, before);
  if (status === 413 || status === 422) return smaller(batch, said);
  if (status !== 0) net.is.says = said.says ?? "";
  throw new Error(`not sent: ${status}`);
}

async function settled(batch, said, before) {
  await measure(before, said.server_at);
  const moved = await settle(said.results ?? [], said.epoch, Date.now());
  await keepFact("shared", Date.now());
  net.is.size = MOST;
  say("shared", { lines: moved.map(({ id, record, outcome }) => ({ id, record, outcome })) });
  await meet(said.epoch);
  net.is.asksSignIn = (said.results ?? []).some(({ outcome }) => outcome === "waits");
  if (moved.length < batch.length) throw new Error("some of it waits");
  return true;
}

/** Too much at once, or one line that cannot be read: fewer, until the line stands alone. */
async function smaller(batch, said) {
  if (batch.length > 1) net.is.size = Math.ceil(batch.length / 2);
  else await refuse(batch[0].n, said.says || "The server cannot read this entry.");
  say("changed");
  return true;
}

let running = null;
let isAsked = false;
let pause = FIRST_MS;
let timer = 0;

async function drain() {
  do {
    isAsked = false;
    while (await navigator.locks.request("ullage-send", sendBatch));
  } while (isAsked);
}

function later(ms) {
  clearTimeout(timer);
  timer = setTimeout(send, ms * (0.75 + Math.random() / 2));
}

/** Send what waits, now; one run at a time. Resolves when it is done or given up for the moment. */
export function send() {
  isAsked = true;
  running ??= drain()
    .then(() => { pause = FIRST_MS; later(BEAT_MS); })
    .catch(() => { later(pause); pause = Math.min(pause * 2, LONGEST_MS); })
    .finally(() => { running = null; tell("changed"); });
  return running;
}

/** Try at once, whatever the pause was. */
export function sendNow() {
  pause = FIRST_MS;
  return send();
}

/** Whether the server is there, and whether it is still the same database. */
export async function beat() {
  const before = Date.now();
  const { status, said } = await ask("/api/epoch/");
  if (status) asks(status);
  if (status !== 200) return;
  await measure(before, said.server_at);
  const known = await fact("epoch");
  await meet(said.epoch);
  if (known !== said.epoch) await sendNow();
}

/** A part of the page that leads to the door, since the session is over: the pad stays and takes entries. */
function stays(event) {
  const to = event.detail.xhr.getResponseHeader("HX-Redirect");
  if (!to || new URL(to, location.href).pathname !== "/accounts/login/") return;
  event.preventDefault();
  asks(401);
}

/** Send from now on: at once, when the network comes back, when the page is looked at, and by a timer. */
export function start({ beats }) {
  addEventListener("online", sendNow);
  addEventListener("offline", () => heard(false));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") sendNow();
  });
  document.addEventListener("htmx:sendError", () => heard(false));
  document.addEventListener("htmx:afterOnLoad", () => {
    const wasOff = net.is.isOn === false;
    heard(true);
    if (wasOff) sendNow();
  });
  if (beats) {
    document.addEventListener("htmx:beforeOnLoad", stays);
    beat();
    setInterval(beat, BEAT_MS);
  }
  forget(Date.now()).catch(() => {});
  return sendNow();
}
