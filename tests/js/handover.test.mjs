import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { handover } from "../../exercises/static/exercises/js/handover.js";

const shared = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/handover.json", import.meta.url), "utf8"),
);

test("readings are written as the server reads them", () =>
  assert.deepEqual(handover(shared.code, shared.readings), [shared.text]));
test("many readings make several texts of eight", () => {
  const texts = handover(
    shared.code,
    Array.from({ length: 17 }, () => shared.readings[0]),
  );
  assert.deepEqual(
    texts.map((text) => text.split("~").length - 1),
    [8, 8, 1],
  );
});
test("what is made of ordinary readings fits a QR code of 400 characters", () => {
  const [text] = handover(
    shared.code,
    Array.from({ length: 8 }, () => shared.readings[0]),
  );
  assert.ok(text.length < 340);
});
