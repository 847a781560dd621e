import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { outline } from "../../exercises/static/exercises/js/outline.js";

test("steps lead from corner to corner, latitude first as maps want it", () => {
  assert.deepEqual(outline([100, 200, 50, -25, -50, 25]), [
    [2, 1],
    [1.75, 1.5],
    [2, 1],
  ]);
});

test("Tasmania lies where an atlas has it", () => {
  // 40.6 to 43.7 south, 144.6 to 148.4 east: a school atlas, from memory
  const file = new URL("../../exercises/static/exercises/vendor/world/land.json", import.meta.url);
  const rings = JSON.parse(readFileSync(file)).map(([outer]) => outline(outer));
  const inside = ([y, x]) => y < -40.5 && y > -43.8 && x > 144.5 && x < 148.5;
  const island = rings.filter((ring) => ring.every(inside)).sort((a, b) => b.length - a.length)[0];
  const south = Math.min(...island.map(([y]) => y));
  assert.ok(Math.abs(south - -43.6) < 0.15, String(south));
});
