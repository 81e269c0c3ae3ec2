// Enrols this device on the page of devices: makes its key, and gives the server the public half.

import { enrolled, publicKey, renewKey, tablet } from "./keys.js";
import { ask } from "./send.js";

const form = document.querySelector("form[data-pad-enrol]");
const says = document.querySelector("[data-pad-enrol-says]");

/** The row of this device on the page, if the server has it here and did not revoke it. */
function row(code) {
  const found = code && document.querySelector(`[data-tablet="${CSS.escape(code)}"]`);
  return found && !found.querySelector(".amend") ? found : null;
}

async function show() {
  if (!isSecureContext || !globalThis.indexedDB) {
    says.textContent = "This device cannot keep a key here: the page has to come by https.";
    return;
  }
  const code = await tablet();
  const isHere = Boolean(row(code));
  form.hidden = isHere;
  says.textContent = isHere ? "This device is enrolled." : "This device is not enrolled here.";
}

async function enrol(name, key) {
  const former = await tablet();
  return ask("/api/tablet/", { name, public_key: key, tablet: former ?? null });
}

async function submit() {
  const name = form.elements.name.value.trim();
  if (!name) return;
  let { status, said } = await enrol(name, await publicKey());
  // A key that was revoked, or is in use at another site: this device makes a new one.
  if (status === 422) ({ status, said } = await enrol(name, await renewKey()));
  if (status !== 200) {
    says.textContent = said.says ?? "The server does not answer. Try again in a moment.";
    return;
  }
  await enrolled(said.tablet);
  location.reload();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  form.querySelector("button").disabled = true;
  submit()
    .catch(() => { says.textContent = "This device keeps no key: its storage is full or refused."; })
    .finally(() => { form.querySelector("button").disabled = false; });
});

show().catch(() => { says.textContent = "This device keeps no key: its storage is refused."; });
