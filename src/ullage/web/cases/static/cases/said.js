// Reads what a form says: one filled field is one entry, a group of fields is one entry with details.

import { isReadable, withUnit } from "./words.js";

function isSaid(field, pressed) {
  if (field.disabled) return false;
  if (field.matches("button")) return field === pressed;
  if (field.matches("[type=radio], [type=checkbox]")) return field.checked;
  return field.value.trim() !== "";
}

function nameOf(field) {
  const label = field.closest("label")?.querySelector("span") ?? field.labels?.[0];
  const row = field.closest("[role=radiogroup]");
  const title = row && document.getElementById(row.getAttribute("aria-labelledby"));
  return (title ?? label ?? field).textContent.trim().split(",")[0].toLowerCase();
}

/** What is short and readable in a list: heart 92 /min. */
function labelled(field, typed) {
  if (field.matches("button")) return field.textContent.trim();
  return `${nameOf(field)} ${typed}`;
}

function alone(field) {
  const { kind, unit } = field.dataset;
  const typed = withUnit(field.value, unit);
  const what = field.dataset.what || field.name;
  return { kind, what, typed, label: labelled(field, typed) };
}

/** A group such as a drug: its name, what was typed, and details by name. */
function grouped(group) {
  const parts = {};
  const details = JSON.parse(group.dataset.fixedDetails || "{}");
  for (const field of group.querySelectorAll("[data-part], [data-detail]")) {
    if (!isSaid(field, null)) continue;
    const typed = withUnit(field.value, field.dataset.unit);
    if (field.dataset.part) parts[field.dataset.part] = typed;
    else details[field.dataset.detail] = typed;
  }
  const what = group.dataset.fixedWhat || parts.what || "";
  const isEmpty = !parts.what && !parts.typed && Object.keys(details).length === 0;
  if (isEmpty || (!what && group.dataset.entry !== "text")) return null;
  const typed = parts.typed ?? Object.values(details).join(", ");
  const label = [what, typed].filter(Boolean).join(" ");
  return { kind: group.dataset.entry, what, typed, details, animal: parts.animal ?? "", label };
}

function animalOf(form) {
  return form.dataset.animal || form.querySelector("[data-part=animal]:not([data-entry] *)")?.value || "";
}

/** Fields with a number that cannot be read; they are mended before anything is kept. */
export function unreadable(form) {
  const fields = [...form.querySelectorAll("input[data-unit]")];
  return fields.filter((field) => isSaid(field, null) && !isReadable(field.value, field.dataset.unit));
}

/** Everything that a form says, in the order of its fields; `pressed` is the button that sent it. */
export function saidIn(form, pressed) {
  const inOrder = [...form.querySelectorAll("[data-kind], [data-entry]")];
  const animal = animalOf(form);
  return inOrder.map((one) => {
    if (one.dataset.entry) return grouped(one);
    return isSaid(one, pressed) ? alone(one) : null;
  }).filter(Boolean).map((one) => ({
    ...one, line: "entry", record: form.dataset.record, animal: one.animal || animal,
  }));
}

/** Empty a form after it was kept. */
export function emptied(form) {
  for (const field of form.querySelectorAll("[data-kind], [data-part], [data-detail]")) {
    if (field.matches("[type=radio], [type=checkbox]")) field.checked = false;
    else if (!field.matches("button, [type=hidden]")) field.value = "";
  }
}
