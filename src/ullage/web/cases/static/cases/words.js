// From what was typed to the words that are kept, signed and sent; written once, never changed.

import { sign, tablet } from "./keys.js";
import { fact } from "./store.js";

const NUMBER = /^[+-]?\d+(?:[.,]\d+)?$/;
const WITH_UNIT = /^[+-]?\d+(?:[.,]\d+)?\s*\S*$/;

/** What was typed, with the unit of its field where digits stand alone. */
export function withUnit(value, unit) {
  const text = value.trim();
  return unit && NUMBER.test(text) ? `${text} ${unit}` : text;
}

/** Whether a field that has a unit holds something that can be read as a number. */
export function isReadable(value, unit) {
  return !unit || WITH_UNIT.test(value.trim());
}

function sorted(value) {
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])]));
}

/** Whose page this is: a ticket of somebody else proves nothing for them. */
async function ticketFor(user) {
  const kept = await fact("ticket");
  if (!kept) return null;
  return user && kept.username !== user ? null : kept;
}

/** What stands in the word of an entry, and in that of an amendment; the server knows no more. */
const PARTS = {
  entry: ["line", "record", "kind", "what", "typed", "details", "animal"],
  amendment: ["line", "record", "of", "reason", "typed", "withdrawn"],
};

function worded(said, by, id, now, offset) {
  const parts = PARTS[said.line].map((key) => [key, said[key]]).filter(([, value]) => value !== undefined);
  const isAt = said.observed === null ? null : new Date(said.observed).toISOString();
  return JSON.stringify(sorted({
    ...Object.fromEntries(parts),
    format: 1,
    id,
    observed: isAt,
    written: new Date(now).toISOString(),
    offset_s: offset === null ? null : offset.toFixed(1),
    author_confirmed: !by.isLocked,
    by: by.isLocked ? "" : by.user,
  }));
}

/**
 * Make the line of one thing said, as it is kept, signed and sent.
 *
 * said: what `saidIn` reads, or an amendment; `observed` in ms, of an amendment null where the time
 * stands. by: {user, isLocked}; a locked pad has no user, its entries are for their author to confirm.
 */
export async function lineOf(said, by, batch) {
  const [ticket, code, offset] = await Promise.all([
    ticketFor(by.isLocked ? "" : by.user), tablet(), fact("offset"),
  ]);
  const now = Date.now();
  const id = crypto.randomUUID();
  const word = worded(said, by, id, now, offset);
  return {
    id, record: said.record, word, batch, label: said.label, typed: said.typed, of: said.of ?? "",
    withdrawn: said.withdrawn ?? false,
    observed: said.observed ?? now - (offset ?? 0) * 1000, kept_at: now,
    written: now - (offset ?? 0) * 1000,
    signature: await sign(word), tablet: code ?? null,
    ticket: ticket?.ticket ?? "", author: ticket?.author ?? "", confirmed: !by.isLocked,
  };
}
