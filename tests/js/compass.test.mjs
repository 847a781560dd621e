import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import {
  difference,
  likeliest,
  needle,
  nearest,
  offTheArrow,
} from "../../exercises/static/exercises/js/compass.js";

const { boxed } = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/compass.json", import.meta.url), "utf8"),
);

for (const { facing_deg: facing, declination_deg: declination, number_deg: number } of boxed) {
  test(`facing ${facing} with declination ${declination} the needle is boxed at ${number}`, () =>
    assert.equal(offTheArrow(facing, number, declination), 0));
  test(`facing ${facing} the other way is half a circle off`, () =>
    assert.equal(offTheArrow(facing + 180, number, declination), 180));
}
test("a needle stays with north while the plate turns under it", () =>
  assert.deepEqual([needle(0, 0), needle(90, 0), needle(0, 12)], [0, 270, 12]));
test("differences take the short way, and opposite is +180", () =>
  assert.deepEqual([difference(359, 1), difference(1, 359), difference(0, 180)], [-2, 2, 180]));
test("what lies nearest is found across north", () =>
  assert.equal(
    nearest(
      [
        { code: "A", bearing_deg: 350 },
        { code: "B", bearing_deg: 20 },
      ],
      2,
    ).code,
    "A",
  ));
test("a mistake is named only near its number", () => {
  const wrongs = [
    { degrees: 202, cause: "reversed" },
    { degrees: 34, cause: "left out" },
  ];
  assert.deepEqual(
    [likeliest(wrongs, 200, 4)?.cause, likeliest(wrongs, 36, 4)?.cause, likeliest(wrongs, 90, 4)],
    ["reversed", "left out", undefined],
  );
});
