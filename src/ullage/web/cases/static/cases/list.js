// What was kept on this device for a record, by observation: waiting, shared, or not taken and why.

import { time } from "./clock.js";
import { counted, made, shape } from "./made.js";
import { acknowledged, told, waiting } from "./store.js";

const SHOWN = 8;

/** The lines of a record in bundles that were saved together, the newest first. */
async function bundles(record) {
  const queued = (await waiting()).filter((line) => line.record === record);
  const there = await acknowledged(record);
  const found = new Map();
  for (const line of [...queued.reverse(), ...there]) {
    if (!found.has(line.batch)) found.set(line.batch, []);
    found.get(line.batch).unshift(line);
  }
  return [...found.values()];
}

function isWaiting(line) {
  return !line.outcome && !line.refused;
}

function mark(lines) {
  const queued = lines.filter(isWaiting).length;
  if (queued) return made("span", { class: "wait-m" }, queued < lines.length ? `${queued} waiting` : "waiting");
  if (lines.some((line) => line.outcome === "kept" || line.refused)) {
    return made("span", { class: "v v--stop" }, shape("v-stop"), "not taken");
  }
  return made("span", { class: "small dim" }, `shared ${time(Math.max(...lines.map((line) => line.acked_at)))}`);
}

function spoken(line) {
  const said = line.of ? `${line.withdrawn ? "withdrawn:" : "amended to"} ${line.label}` : line.label;
  return line.confirmed ? said : `${said} (author to confirm)`;
}

function button(text, action, look = "btn") {
  const one = made("button", { type: "button", class: look }, text);
  one.addEventListener("click", action);
  return one;
}

/** The question about an odd value: it is kept, and amending it is the next step. */
function question(line, amend) {
  return made("div", { class: "say say--look" }, shape("v-look"),
    made("div", {}, made("b", {}, `Kept: ${line.label}.`), ` ${line.asks}`,
      made("div", { class: "btns mt-s" }, amend ? button("Amend it", () => amend(line)) : null,
        button("It is right", () => told(line.id).then(changed)))));
}

/** Entries that the record does not have, and why; those of one save for one reason together. */
function notTaken(lines) {
  const [first] = lines;
  const isHere = Boolean(first.refused);
  const where = isHere
    ? "It is kept on this device alone: write it on paper too, and tell a lead."
    : "The server keeps it under “not taken” until a lead has decided.";
  const read = () => Promise.all(lines.map((line) => told(line.id))).then(changed);
  return made("div", { class: "say say--stop" }, shape("v-stop"),
    made("div", {}, made("b", {}, `Not taken: ${lines.map((line) => line.label).join(", ")}, ${time(first.observed)}.`),
      ` ${first.refused || first.says} ${where}`,
      isHere ? null : made("div", { class: "btns mt-s" }, button("Read", read))));
}

function alike(lines) {
  const found = new Map();
  for (const line of lines) {
    const key = `${line.batch} ${line.refused || line.says}`;
    found.set(key, [...(found.get(key) ?? []), line]);
  }
  return [...found.values()];
}

function changed() {
  document.dispatchEvent(new Event("ullage:list"));
}

/** Amend or withdraw one of several; an amendment of an amendment is one of its entry. */
function more(lines, amend) {
  const entries = lines.filter((line) => !line.of && line.outcome !== "kept");
  if (!entries.length) return null;
  return made("details", { class: "fold" }, made("summary", {}, "Amend or withdraw"),
    made("div", { class: "btns" }, ...entries.map((line) => button(line.label, () => amend(line)))));
}

function row(lines, amend) {
  const first = lines[0];
  const short = lines.slice(0, 3).map(spoken).join(", ");
  const rest = lines.length > 3 ? `, ${lines.length - 3} more` : "";
  const isLate = first.written - first.observed > 5 * 60_000;
  const late = isLate ? made("small", {}, made("span", { class: "late" }, `late, written ${time(first.written)}`)) : null;
  return made("li", { "data-batch": first.batch },
    made("b", {}, time(first.observed)),
    made("span", {}, short + rest, late, amend ? more(lines, amend) : null),
    mark(lines));
}

/** What the list shows of lines: drawn anew only when this is different. */
function shownOf(lines) {
  return lines.map(({ id, outcome, refused, asks, told: isTold, acked_at }) =>
    [id, outcome, refused, asks, isTold, acked_at].join(" ")).join("|");
}

/** Rows that were open stay open. */
function replaced(place, rows) {
  const open = new Set([...place.querySelectorAll("li:has(details[open])")].map((row) => row.dataset.batch));
  place.replaceChildren(...rows);
  for (const row of place.children) {
    if (open.has(row.dataset.batch)) row.querySelector("details").open = true;
  }
}

/** Draw the list, where it changed. */
export async function drawList(place, record, amend) {
  const found = await bundles(record);
  const lines = found.flat();
  const shows = shownOf(lines);
  if (place.dataset.shows === shows) return;
  place.dataset.shows = shows;
  const amended = new Set(lines.map((line) => line.of));
  const asked = lines.filter((line) =>
    line.asks && !line.told && line.outcome !== "kept" && !amended.has(line.id));
  const kept = lines.filter((line) => (line.outcome === "kept" && !line.told) || line.refused);
  const shown = found.filter((each, at) => at < SHOWN || each.some(isWaiting));
  const hidden = found.length - shown.length;
  replaced(place, [
    ...[...alike(kept).map(notTaken), ...asked.map((line) => question(line, amend))]
      .map((one) => made("li", { class: "queue__say" }, one)),
    ...shown.map((each) => row(each, amend)),
    ...(hidden ? [made("li", { class: "queue__say small dim" },
      `${counted(hidden, "earlier save", "earlier saves")} from this device, all shared.`)] : []),
  ]);
}
