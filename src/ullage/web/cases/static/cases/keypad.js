// The number keys beside the tiles, and the physical keyboard: digits, Enter, arrows, Escape.

import { made } from "./made.js";

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "Delete"];
const AROUND = [-2, -1, 0, 1, 2];
const FULL = 8;

function written(field) {
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** Five values that are common here: those the page names, or those around the last one. */
function common(field) {
  if (field.dataset.common) return field.dataset.common.split(" ").slice(0, AROUND.length);
  const last = Number(field.dataset.last);
  const step = Number(field.dataset.step);
  if (!field.dataset.last || !Number.isFinite(last) || !step) return [];
  const places = (field.dataset.step.split(".")[1] ?? "").length;
  return AROUND.map((many) => last + many * step)
    .filter((value) => value >= 0)
    .map((value) => value.toFixed(Math.max(places, (field.dataset.last.split(".")[1] ?? "").length)));
}

/** The keys of one form; `stops` are its fields in their order. */
export class Keypad {
  constructor(form, place) {
    this.form = form;
    this.place = place;
    this.field = null;
    this.chips = made("div", { class: "common", role: "group", "aria-label": "Common values" });
    this.keys = made("div", { class: "pad", role: "group", "aria-label": "Number keys" });
    for (const key of KEYS) this.keys.append(this.key(key));
    this.keys.append(this.key("Next"));
    this.hasCommon = this.tiles().some(({ dataset }) => dataset.common || dataset.step)
      && !document.body.hasAttribute("data-pad-only");
    place.append(...(this.hasCommon ? [this.chips, this.keys] : [this.keys]));
    place.hidden = false;
    place.addEventListener("pointerdown", (event) => event.preventDefault());
    form.addEventListener("focusin", ({ target }) => this.chosen(target));
    form.addEventListener("keydown", (event) => this.pressed(event));
    if (matchMedia("(pointer: coarse)").matches) {
      for (const tile of this.tiles()) tile.inputMode = "none";
    }
  }

  tiles() {
    return [...this.form.querySelectorAll(".tile input")].filter((tile) => tile.checkVisibility());
  }

  /** Where Enter goes in turn: tiles, the first or chosen one of each row, the button that saves. */
  stops() {
    const rows = [...this.form.querySelectorAll(".seg:has(input[data-kind])")]
      .map((row) => row.querySelector("input:checked") ?? row.querySelector("input"));
    const button = this.form.querySelector("button:not([type=button])");
    return [...this.tiles(), ...rows, button].filter(Boolean);
  }

  key(name) {
    const isWord = name.length > 1;
    const look = [isWord ? "word" : "", name === "Next" ? "key-next" : ""].join(" ").trim();
    const one = made("button", { type: "button", tabindex: "-1", class: look || null }, name);
    one.addEventListener("click", () => this.tapped(name));
    return one;
  }

  tapped(name) {
    this.field ??= this.tiles().find((tile) => !tile.value) ?? this.tiles()[0];
    if (!this.field) return;
    if (name === "Next") return this.next(this.field);
    const value = this.field.value;
    if (name === "Delete") this.field.value = value.slice(0, -1);
    else if (value.length < FULL) this.field.value = value + name;
    written(this.field);
    this.field.focus();
  }

  /** A tile was chosen: its value can be taken back, and its common values are offered. */
  chosen(target) {
    if (!target.matches(".tile input")) return;
    this.field = target;
    this.before = target.value;
    this.chips.replaceChildren(...common(target).map((value) => {
      const chip = made("button", { type: "button", tabindex: "-1" }, value);
      chip.addEventListener("click", () => this.taken(value));
      return chip;
    }));
  }

  taken(value) {
    const field = this.field;
    field.value = value;
    written(field);
    this.next(field);
  }

  next(from) {
    const stops = this.stops();
    const row = from.closest(".seg");
    const at = stops.findIndex((stop) => stop === from || (row && row.contains(stop)));
    stops[at + 1]?.focus();
  }

  pressed(event) {
    const { key, target } = event;
    if (key === "Enter" && event.ctrlKey) {
      event.preventDefault();
      this.form.requestSubmit();
    } else if (target.matches(".tile input")) this.inTile(event);
    else if (target.matches(".seg input[data-kind]")) this.inRow(event);
  }

  inTile(event) {
    const { key, target } = event;
    if (key === "Enter") this.next(target);
    else if (key === "Escape") {
      target.value = this.before ?? "";
      written(target);
    } else if (key === "ArrowDown" || key === "ArrowUp") this.across(target, key === "ArrowDown");
    else if ((key === "ArrowRight" || key === "ArrowLeft") && !target.value) {
      const tiles = this.tiles();
      tiles[tiles.indexOf(target) + (key === "ArrowRight" ? 1 : -1)]?.focus();
    } else return;
    event.preventDefault();
  }

  /** The tile under or above, as they stand on the screen. */
  across(target, isDown) {
    const here = target.closest(".tile").getBoundingClientRect();
    const other = this.tiles().map((tile) => [tile, tile.closest(".tile").getBoundingClientRect()])
      .filter(([, box]) => Math.abs(box.left - here.left) < 4)
      .filter(([, box]) => (isDown ? box.top > here.top + 4 : box.top < here.top - 4));
    (isDown ? other[0] : other.at(-1))?.[0].focus();
  }

  /** In a row of choices a digit chooses, Delete takes the choice back. */
  inRow(event) {
    const { key, target } = event;
    const choices = [...target.closest(".seg").querySelectorAll("input")];
    if (key === "Enter") this.next(target);
    else if (/^[1-9]$/.test(key) && choices[Number(key) - 1]) {
      const choice = choices[Number(key) - 1];
      choice.checked = true;
      choice.focus();
      written(choice);
    } else if (key === "Delete" || key === "Backspace") {
      for (const choice of choices) choice.checked = false;
      written(target);
    } else return;
    event.preventDefault();
  }
}

/** A second touch takes a choice back: what was not seen is left out. */
export function takesBack(form) {
  let was = null;
  form.addEventListener("pointerdown", ({ target }) => {
    const choice = target.closest?.(".seg label")?.querySelector("input[data-kind]");
    was = choice?.checked ? choice : null;
  });
  form.addEventListener("click", ({ target }) => {
    if (target !== was || !target.matches?.(".seg input[data-kind]")) return;
    target.checked = false;
    was = null;
    written(target);
  });
}
