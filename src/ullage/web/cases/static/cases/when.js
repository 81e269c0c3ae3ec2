// When a thing was seen: now, or earlier at a time that is chosen. Late entries say so.

import { lately, serverNow, time } from "./clock.js";
import { made } from "./made.js";

export class When {
  constructor(place) {
    const name = `when-${crypto.randomUUID()}`;
    this.now = made("input", { type: "radio", name, value: "now", checked: true });
    this.earlier = made("input", { type: "radio", name, value: "earlier" });
    this.at = made("input", {
      inputmode: "numeric", autocomplete: "off", maxlength: "5", placeholder: "hh:mm", "aria-label": "Seen at, by the clock of 24 hours",
    });
    this.fault = made("p", { class: "field__err", role: "alert", hidden: true });
    place.replaceChildren(
      made("legend", { class: "vh" }, "When it was seen"),
      made("div", { class: "when" },
        made("div", { class: "seg", role: "radiogroup", "aria-label": "When it was seen" },
          made("label", {}, this.now, "Seen now"), made("label", {}, this.earlier, "Seen earlier")),
        made("div", { class: "inp" }, this.at)),
      this.fault,
    );
    place.hidden = false;
    this.at.addEventListener("input", () => { this.earlier.checked = true; });
    this.earlier.addEventListener("change", () => this.at.focus());
  }

  /** The moment, in ms; null with a sentence beside the field where none can be read. */
  read() {
    this.fault.hidden = true;
    if (this.now.checked) return serverNow();
    const found = lately(this.at.value);
    if (found !== null) return found;
    this.fault.hidden = false;
    this.fault.textContent = this.at.value
      ? "That time is still to come, or more than 12 hours ago."
      : "Say at what time it was seen, or choose now.";
    this.at.focus();
    return null;
  }

  /** Set it to a moment that is gone. */
  set(at) {
    this.earlier.checked = true;
    this.at.value = time(at, at);
  }

  reset() {
    this.now.checked = true;
    this.at.value = "";
  }
}
