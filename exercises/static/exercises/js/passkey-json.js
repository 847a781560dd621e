/**
 * Passkeys in JSON, for browsers that do not turn them by themselves: the forms of W3C Web
 * Authentication Level 3, sections 5.1.8, 5.1.9 and 5.1 (toJSON). Bytes are base64url, without
 * padding (RFC 4648, section 5).
 */

/** @param {string} text base64url @returns {Uint8Array} */
export const bytes = (text) =>
  Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (sign) =>
    sign.charCodeAt(0),
  );

/** @param {ArrayBuffer} buffer @returns {string} */
export const base64url = (buffer) =>
  btoa(Array.from(new Uint8Array(buffer), (byte) => String.fromCharCode(byte)).join(""))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");

const described = (list = []) => list.map((one) => ({ ...one, id: bytes(one.id) }));

/** What `navigator.credentials.create` takes as `publicKey`. */
export const toCreate = (options) => ({
  ...options,
  challenge: bytes(options.challenge),
  user: { ...options.user, id: bytes(options.user.id) },
  excludeCredentials: described(options.excludeCredentials),
});

/** What `navigator.credentials.get` takes as `publicKey`. */
export const toGet = (options) => ({
  ...options,
  challenge: bytes(options.challenge),
  allowCredentials: described(options.allowCredentials),
});

const SENT = [
  "clientDataJSON",
  "attestationObject",
  "authenticatorData",
  "signature",
  "userHandle",
];

/** What the server reads of a credential. */
export function answer({ id, rawId, type, response }) {
  const sent = SENT.filter((name) => response[name]);
  return {
    id,
    rawId: base64url(rawId),
    type,
    response: Object.fromEntries(sent.map((name) => [name, base64url(response[name])])),
  };
}
