import assert from "node:assert/strict";
import { test } from "node:test";
import {
  answer,
  base64url,
  bytes,
  toCreate,
  toGet,
} from "../../exercises/static/exercises/js/passkey-json.js";

// RFC 4648, section 10, without padding; and two bytes whose signs differ in base64url (section 5)
const VECTORS = [
  ["", ""],
  ["f", "Zg"],
  ["fo", "Zm8"],
  ["foo", "Zm9v"],
  ["foob", "Zm9vYg"],
  ["fooba", "Zm9vYmE"],
  ["foobar", "Zm9vYmFy"],
  ["\xfb\xff", "-_8"],
];

for (const [plain, coded] of VECTORS) {
  test(`base64url of "${plain}" is "${coded}", both ways`, () => {
    const raw = Uint8Array.from(plain, (sign) => sign.charCodeAt(0));

    assert.equal(base64url(raw.buffer), coded);
    assert.deepEqual(bytes(coded), raw);
  });
}

test("ids and the challenge become bytes, all else stays", () => {
  const id = bytes("Zm9v");

  assert.deepEqual(
    toCreate({
      rp: { id: "class.example" },
      user: { id: "Zm9v", name: "ines" },
      challenge: "Zm9v",
      excludeCredentials: [{ id: "Zm9v", type: "public-key" }],
    }),
    {
      rp: { id: "class.example" },
      user: { id, name: "ines" },
      challenge: id,
      excludeCredentials: [{ id, type: "public-key" }],
    },
  );
  assert.deepEqual(toGet({ challenge: "Zm9v", rpId: "class.example" }), {
    challenge: id,
    rpId: "class.example",
    allowCredentials: [],
  });
});

test("what the server reads of a credential is there, and nothing that is missing", () => {
  const raw = bytes("Zm9v").buffer;

  const said = answer({
    id: "Zm9v",
    rawId: raw,
    type: "public-key",
    response: { clientDataJSON: raw, signature: raw, userHandle: null, getTransports() {} },
  });

  assert.deepEqual(said, {
    id: "Zm9v",
    rawId: "Zm9v",
    type: "public-key",
    response: { clientDataJSON: "Zm9v", signature: "Zm9v" },
  });
});
