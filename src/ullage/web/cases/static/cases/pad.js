// The pad: forms with data-pad are kept on this device before anything is said, then sent.
// Without this file, and where a device cannot keep entries, the same forms are posted as they are.

import { askAmendment } from "./amend.js";
import { serverNow, time } from "./clock.js";
import { canKeep, ready, ticketed } from "./device.js";
import { dropDraft, keepDraft, restoreDraft } from "./draft.js";
import { Keypad, takesBack } from "./keypad.js";
import { drawList } from "./list.js";
import { counted, made, meta, shape } from "./made.js";
import { emptied, saidIn, unreadable } from "./said.js";
import { net, say, sendNow } from "./send.js";
import { keep } from "./store.js";
import { When } from "./when.js";
import { lineOf } from "./words.js";

const isLocked = document.body.hasAttribute("data-pad-only");
const by = { user: isLocked ? "" : meta("ullage-user"), isLocked };
const forms = new Map();

/** The place under a form where its one sentence stands. */
function sentence(form) {
  const there = form.querySelector("[data-pad-said]");
  if (there) return there;
  const one = made("div", { "data-pad-said": true, "aria-live": "polite" });
  form.append(one);
  return one;
}

function tell(form, look, bold, text = "") {
  const box = made("div", { class: `say say--${look} mt-s` }, shape(`v-${look === "note" ? "wait" : look}`),
    made("div", {}, made("b", {}, bold), text ? ` ${text}` : ""));
  sentence(form).replaceChildren(box);
}

function fault(field, text) {
  const place = field.closest(".tile, .field") ?? field.parentElement;
  place.classList.toggle("tile--odd", Boolean(text) && place.matches(".tile"));
  if (text) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
}

function areReadable(form) {
  for (const field of form.querySelectorAll("[aria-invalid]")) fault(field, "");
  const wrong = unreadable(form);
  for (const field of wrong) fault(field, "odd");
  if (!wrong.length) return true;
  tell(form, "stop", "Write digits, such as 38.7.", `“${wrong[0].value}” cannot be read. Nothing was kept yet.`);
  wrong[0].focus();
  return false;
}

const PATIENCE_MS = 1000;

/** Keep lines on this device; false where the device refused, and says so. */
async function kept(form, saids) {
  const batch = crypto.randomUUID();
  try {
    await Promise.race([ticketed, new Promise((done) => { setTimeout(done, PATIENCE_MS); })]);
    const lines = [];
    for (const said of saids) lines.push(await lineOf(said, by, batch));
    await keep(lines);
  } catch (why) {
    tell(form, "stop", "Not kept: write it on paper.",
      `This device could not store it (${why?.name ?? "no store"}). It still stands in the fields.`);
    sentence(form).querySelector(".say").setAttribute("role", "alert");
    return false;
  }
  say("changed");
  return true;
}

async function save(form, pressed) {
  const { when } = forms.get(form);
  const saids = saidIn(form, pressed);
  if (!saids.length) return tell(form, "note", "Nothing was typed.", "Leave out what you did not see.");
  if (!areReadable(form)) return null;
  const observed = when ? when.read() : serverNow();
  if (observed === null) return null;
  if (!await kept(form, saids.map((said) => ({ ...said, observed })))) return null;
  emptied(form);
  when?.reset();
  dropDraft(form, by.user);
  const count = counted(saids.length, "entry", "entries");
  tell(form, "fine", `${count} kept on this device, ${time(observed)}.`);
  form.querySelector(".tile input")?.focus({ preventScroll: true });
  sendNow();
  return null;
}

/** One save after the other; none waits for the network. */
function submitted(event) {
  const form = event.target;
  if (!forms.has(form) || !canKeep()) return;
  event.preventDefault();
  const state = forms.get(form);
  state.saved = state.saved.then(() => save(form, event.submitter)).catch(() => {});
}

/** Amend an entry of this device, or one that the page shows. */
async function amend(form, { id, shows, unit }) {
  const said = await askAmendment({ shows, unit });
  if (!said) return;
  const { record } = form.dataset;
  const line = {
    ...said, line: "amendment", record, of: id,
    label: said.withdrawn ? shows : `${said.typed || "another time"} (${shows})`,
  };
  if (await kept(form, [line])) {
    tell(form, "fine", said.withdrawn ? "Withdrawn." : "Amended.", "Kept on this device; the first value stays.");
    sendNow();
  }
}

function lineShown(line) {
  const unit = /^[+-]?[\d.,]+\s+(\S+)$/.exec(line.typed ?? "")?.[1] ?? "";
  return { id: line.id, shows: `${line.label}, ${time(line.observed)}`, unit };
}

function redraw() {
  for (const place of document.querySelectorAll("[data-pad-list]")) {
    const form = place.closest("[data-pad]") ?? forms.keys().next().value;
    const amends = isLocked ? null : (line) => amend(form, lineShown(line));
    if (form) drawList(place, form.dataset.record, amends).catch(() => {});
  }
}

function draftSaid(form, at) {
  const drop = made("button", { type: "button", class: "btn" }, "Empty the fields");
  drop.addEventListener("click", () => {
    emptied(form);
    forms.get(form).when?.reset();
    dropDraft(form, by.user);
    sentence(form).replaceChildren();
  });
  tell(form, "look", `Typed at ${time(at)}, not saved.`, "Save it with the time at which it was seen, or empty the fields.");
  sentence(form).querySelector(".say > div").append(made("div", { class: "btns mt-s" }, drop));
}

function take(form) {
  if (forms.has(form)) return;
  const keys = form.querySelector("[data-pad-keys]");
  const place = form.querySelector("[data-pad-when]");
  const when = canKeep() && place ? new When(place) : null;
  forms.set(form, { when, saved: Promise.resolve() });
  if (keys) new Keypad(form, keys);
  takesBack(form);
  form.noValidate = true;
  const at = restoreDraft(form, by.user);
  if (at !== null) {
    when?.set(at);
    draftSaid(form, at);
  }
  form.addEventListener("input", () => keepDraft(form, by.user));
}

function takeAll() {
  for (const form of document.querySelectorAll("form[data-pad]")) take(form);
  for (const form of forms.keys()) if (!form.isConnected) forms.delete(form);
  redraw();
}

document.addEventListener("submit", submitted);
document.addEventListener("click", (event) => {
  const asks = event.target.closest?.("[data-amend]");
  const form = asks && canKeep() && forms.keys().next().value;
  if (!form) return;
  event.preventDefault();
  amend(form, { id: asks.dataset.amend, shows: asks.dataset.amendShows, unit: asks.dataset.amendUnit ?? "" });
});
for (const kind of ["changed", "shared"]) net.addEventListener(kind, redraw);
document.addEventListener("ullage:list", redraw);
document.addEventListener("htmx:afterSettle", takeAll);
ready.then(takeAll);
