import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { isShort, parseBearing } from "../../exercises/static/exercises/js/bearing.js";

const cases = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/bearings.json", import.meta.url), "utf8"),
);

for (const [text, degrees] of cases.degrees) {
  test(`"${text}" is read as ${degrees} degrees`, () =>
    assert.deepEqual(parseBearing(text), { degrees }));
}
for (const [text, mils] of cases.mils) {
  test(`"${text}" is asked about`, () => assert.deepEqual(parseBearing(text), { mils }));
}
for (const text of cases.refused) {
  test(`"${text}" is refused in words`, () => assert.match(parseBearing(text).error, /\.$/));
}
test("fewer than three digits are noticed", () =>
  assert.deepEqual(["7", "74", "074", "74.5", "N74E"].map(isShort), [
    true,
    true,
    false,
    false,
    false,
  ]));
