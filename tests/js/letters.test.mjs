import assert from "node:assert/strict";
import { test } from "node:test";
import { holds } from "../../exercises/static/exercises/js/letters.js";

for (const [text, typed, found] of [
  ["Declination", "", true],
  ["Declination", "DECLI", true],
  ["Declinación", "declinacion", true],
  ["Declinacion", "declinación ", true],
  ["Magnetic north", "north magnetic", true],
  ["Magnetic north", "north grid", false],
  ["Mil", "mils", false],
]) {
  test(`"${typed}" is ${found ? "" : "not "}found in "${text}"`, () =>
    assert.equal(holds(text, typed), found));
}
