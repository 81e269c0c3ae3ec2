// Amend or withdraw an entry: the first value stays readable, and the reason is asked for.

import { lately } from "./clock.js";
import { made } from "./made.js";
import { isReadable, withUnit } from "./words.js";

/** What is still missing, and where. */
function lacking({ value, at, reason, unit }, withdrawn) {
  if (!withdrawn && !value.value.trim() && !at.value) return ["Say what it should have been, or withdraw it.", value];
  if (!withdrawn && value.value.trim() && !isReadable(value.value, unit)) return ["Write digits, such as 38.7.", value];
  if (!withdrawn && at.value && lately(at.value) === null) return ["That time is still to come, or more than 12 hours ago.", at];
  if (!reason.value.trim()) return ["Say why; the reason stands in the record.", reason];
  return ["", null];
}

/** Ask what it should have been and why; resolves with what was said, or null. */
export function askAmendment({ shows, unit }) {
  const value = made("input", { id: "amend-value", autocomplete: "off", inputmode: unit ? "decimal" : "text" });
  const reason = made("input", { id: "amend-reason", autocomplete: "off", maxlength: "240" });
  const at = made("input", { id: "amend-at", inputmode: "numeric", autocomplete: "off", maxlength: "5", placeholder: "hh:mm" });
  const fault = made("p", { class: "field__err", role: "alert", hidden: true });
  const box = made("dialog", { class: "card ask", "aria-labelledby": "amend-title" },
    made("h2", { id: "amend-title" }, `Amend: ${shows}`),
    made("p", { class: "small dim" }, "What was written first stays readable."),
    made("div", { class: "field" }, made("label", { for: "amend-value" }, "It should have been"),
      made("div", { class: "inp" }, value, unit ? made("span", { class: "sfx" }, unit) : null)),
    made("div", { class: "field" }, made("label", { for: "amend-at" }, "Seen at, if the time was wrong"),
      made("div", { class: "inp" }, at)),
    made("div", { class: "field" }, made("label", { for: "amend-reason" }, "Why"),
      made("div", { class: "inp" }, reason)),
    fault);
  return new Promise((resolve) => {
    function end(said) {
      box.close();
      box.remove();
      resolve(said);
    }
    function check(withdrawn) {
      const [missing, place] = lacking({ value, at, reason, unit }, withdrawn);
      fault.textContent = missing;
      fault.hidden = !missing;
      if (missing) return place.focus();
      return end({
        typed: withdrawn ? "" : withUnit(value.value, unit),
        observed: withdrawn || !at.value ? null : lately(at.value),
        reason: reason.value.trim(),
        withdrawn,
      });
    }
    box.append(made("div", { class: "btns mt-s" },
      act("Amend", "btn btn--go", () => check(false)),
      act("Withdraw it", "btn", () => check(true)),
      act("Leave it", "btn", () => end(null))));
    box.addEventListener("cancel", (event) => { event.preventDefault(); end(null); });
    box.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target.matches("input")) check(false);
    });
    document.body.append(box);
    box.showModal();
  });
}

function act(text, look, action) {
  const one = made("button", { type: "button", class: look }, text);
  one.addEventListener("click", action);
  return one;
}
