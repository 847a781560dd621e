import assert from "node:assert/strict";
import { test } from "node:test";
import { within } from "../../exercises/static/exercises/js/line-choosing.js";

const sight = (code, metres, isNoted = false, isTicked = isNoted) => ({
  code,
  metres,
  isNoted,
  isTicked,
});
const codes = (sights, reach, byHand = []) => [...within(sights, reach, new Set(byHand))];

test("what is no farther than the reach is ticked", () =>
  assert.deepEqual(codes([sight("A", 100), sight("B", 300), sight("C", 300.01)], 300), ["A", "B"]));
test("what is noted stays however far it is, for somebody has looked", () =>
  assert.deepEqual(codes([sight("A", 100), sight("B", 900, true)], 300), ["A", "B"]));
test("what is not expected to be seen is not ticked however near", () =>
  assert.deepEqual(codes([sight("A", null), sight("B", 20)], 300), ["B"]));
test("what is not expected but noted stays", () =>
  assert.deepEqual(codes([sight("A", null, true)], 300), ["A"]));
test("what was unticked by hand stays so in a wider reach", () =>
  assert.deepEqual(codes([sight("A", 100), sight("B", 200)], 300, ["A"]), ["B"]));
test("what was ticked by hand stays so in a narrower reach", () =>
  assert.deepEqual(codes([sight("A", 800, false, true), sight("B", 20)], 50, ["A"]), ["A", "B"]));
test("what an earlier and wider reach ticked is unticked again", () =>
  assert.deepEqual(codes([sight("A", 250, false, true)], 200), []));
