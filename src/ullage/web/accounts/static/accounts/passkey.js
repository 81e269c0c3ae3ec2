// Passkeys: <button data-passkey="get|create" data-options="{...}" or data-from="address"
// data-into="id of the hidden entry">; what cannot be done is said in [data-passkey-said].
"use strict";
(() => {
  const works = Boolean(window.PublicKeyCredential?.parseRequestOptionsFromJSON);
  const failed = {
    NotAllowedError: "Nothing was chosen, or it took too long. Try again.",
    InvalidStateError: "This device has a passkey of yours already.",
    SecurityError: "Passkeys do not work at this address: they need a host name and TLS.",
  };

  async function optionsOf(button) {
    if (button.dataset.options) return JSON.parse(button.dataset.options);
    const reply = await fetch(button.dataset.from, { headers: { Accept: "application/json" } });
    return (await reply.json()).request_options;
  }

  async function ask(kind, options) {
    if (kind === "create") {
      const publicKey = PublicKeyCredential.parseCreationOptionsFromJSON(options.publicKey);
      return navigator.credentials.create({ publicKey });
    }
    const publicKey = PublicKeyCredential.parseRequestOptionsFromJSON(options.publicKey);
    return navigator.credentials.get({ publicKey });
  }

  async function press(button) {
    const form = button.closest("form");
    const said = form.querySelector("[data-passkey-said]");
    if (!works) {
      if (said) said.textContent = "This browser knows no passkeys.";
      return;
    }
    try {
      const credential = await ask(button.dataset.passkey, await optionsOf(button));
      document.getElementById(button.dataset.into).value = JSON.stringify(credential.toJSON());
      form.submit();
    } catch (broken) {
      if (said) said.textContent = failed[broken.name] || "The passkey was not read. Try again.";
    }
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-passkey]");
    if (button) press(button);
  });
  if (works) for (const one of document.querySelectorAll("[data-passkey-only]")) one.hidden = false;
})();
