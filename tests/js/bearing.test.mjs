import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { DEGREES, isShort, parseBearing } from "../../exercises/static/exercises/js/bearing.js";

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
for (const [code, { degrees, refused }] of Object.entries(cases.in_mils)) {
  const unit = { code, circle: Number(code.slice(3)), digits: 4 };
  for (const [text, expected] of degrees) {
    test(`on a compass of ${code}, "${text}" is read as ${expected} degrees`, () =>
      assert.ok(Math.abs(parseBearing(text, unit).degrees - expected) < 1e-9));
  }
  for (const text of refused) {
    test(`on a compass of ${code}, "${text}" is refused in words`, () =>
      assert.match(parseBearing(text, unit).error, /\.$/));
  }
}
test("fewer than three digits are noticed", () =>
  assert.deepEqual(
    ["7", "74", "074", "74.5", "N74E"].filter((text) => isShort(text)),
    ["7", "74"],
  ));
test("fewer than four digits are noticed on a compass of mils", () => {
  const mils = { ...DEGREES, digits: 4 };
  assert.deepEqual(
    ["7", "074", "132", "0132", "1316", "131.5"].filter((text) => isShort(text, mils)),
    ["7", "074", "132"],
  );
});
