import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { dial } from "../../exercises/static/exercises/js/dial.js";

const cases = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/dials.json", import.meta.url), "utf8"),
);

for (const { numbers, drawn } of cases) {
  test(`a phone draws the dial of ${numbers.answer} and ${numbers.reading} in ${numbers.unit} as the server does`, () =>
    assert.equal(dial(numbers), drawn));
}
