// The key of this device: made here, never leaves it; the server knows its public half.

import { fact, keepFact } from "./store.js";

const CURVE = { name: "ECDSA", namedCurve: "P-256" };
const SIGNED = { name: "ECDSA", hash: "SHA-256" };

function base64url(bytes) {
  const text = btoa(String.fromCharCode(...new Uint8Array(bytes)));
  return text.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** The public half of this device's key as a JWK; the pair is made at first use. */
export async function publicKey() {
  const kept = await fact("pair");
  if (kept) return kept.jwk;
  const pair = await crypto.subtle.generateKey(CURVE, false, ["sign", "verify"]);
  const { kty, crv, x, y } = await crypto.subtle.exportKey("jwk", pair.publicKey);
  const jwk = { crv, kty, x, y };
  await keepFact("pair", { private: pair.privateKey, jwk });
  return jwk;
}

/** A new key, for a device that was revoked and is to be enrolled again. */
export async function renewKey() {
  await keepFact("tablet", null);
  await keepFact("pair", null);
  return publicKey();
}

/** Under which code the server knows this device; null while it is not enrolled. */
export function tablet() {
  return fact("tablet");
}

/** The device is enrolled under this code. */
export function enrolled(code) {
  return keepFact("tablet", code);
}

/** The signature of a word, empty while this device is not enrolled. */
export async function sign(word) {
  const [pair, code] = await Promise.all([fact("pair"), fact("tablet")]);
  if (!pair || !code) return "";
  return base64url(await crypto.subtle.sign(SIGNED, pair.private, new TextEncoder().encode(word)));
}
