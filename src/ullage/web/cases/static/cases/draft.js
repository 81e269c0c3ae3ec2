// What was typed and not saved: kept on this device for whoever typed it, until it is saved or emptied.

const PREFIX = "ullage-draft";

function keyOf(form, user) {
  const { record, form: name = "", animal = "" } = form.dataset;
  return [PREFIX, user, record, name, animal].join("|");
}

function fields(form) {
  return [...form.querySelectorAll("input, select, textarea")].filter((field) =>
    field.name && field.type !== "hidden" && !field.name.startsWith("when-"));
}

function valuesOf(form) {
  const values = {};
  for (const field of fields(form)) {
    if (field.matches("[type=radio], [type=checkbox]")) {
      if (field.checked) values[field.name] = field.value;
    } else if (field.value.trim() && !field.options?.[0].selected) values[field.name] = field.value;
  }
  return values;
}

/** Keep what stands in the fields; the time is that of the first letter. */
export function keepDraft(form, user) {
  const values = valuesOf(form);
  const key = keyOf(form, user);
  try {
    const before = JSON.parse(localStorage.getItem(key) ?? "null");
    if (Object.keys(values).length === 0) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify({ values, at: before?.at ?? Date.now() }));
  } catch { /* the fields themselves still hold it */ }
}

export function dropDraft(form, user) {
  try {
    localStorage.removeItem(keyOf(form, user));
  } catch { /* there was none */ }
}

/** Put a draft back into its fields; the time at which it was typed, or null. */
export function restoreDraft(form, user) {
  let draft = null;
  try {
    draft = JSON.parse(localStorage.getItem(keyOf(form, user)) ?? "null");
  } catch {
    return null;
  }
  if (!draft) return null;
  for (const field of fields(form)) {
    const value = draft.values[field.name];
    if (value === undefined) continue;
    if (field.matches("[type=radio], [type=checkbox]")) field.checked = field.value === value;
    else field.value = value;
  }
  return draft.at;
}
