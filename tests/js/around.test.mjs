import assert from "node:assert/strict";
import { test } from "node:test";
import { twoLines } from "../../exercises/static/exercises/js/around.js";

for (const [name, lines] of [
  ["the chapel tower", ["the chapel ", "tower"]],
  ["el molino de viento", ["el molino ", "de viento"]],
  ["la caseta de los botes", ["la caseta de ", "los botes"]],
  ["beacon", ["beacon"]],
]) {
  test(`a long name has two lines of about one length: ${name}`, () =>
    assert.deepEqual(twoLines(name), lines));
}
