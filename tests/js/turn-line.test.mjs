import assert from "node:assert/strict";
import { test } from "node:test";
import { changeWords, turnLines } from "../../exercises/static/exercises/js/turn-line.js";

const red = [
  "Red",
  [
    ["A", "10:00", 1000],
    ["", "10:10", 1600],
    ["B", "10:20", 2200],
  ],
];
const rotation = { groups: [red], ends: ["10:30", 2800] };

test("the next station is the first that is still to come", () => {
  const lines = [900, 1000, 1600, 2200, 2801].map((now) => turnLines(rotation, now));
  assert.deepEqual(lines, [
    ["Next: station A, 10:00"],
    ["Next: wait, 10:10"],
    ["Next: station B, 10:20"],
    ["All are through at 10:30."],
    [],
  ]);
});

test("on a phone of two groups each has its name", () => {
  const both = { ...rotation, groups: [red, ["Blue", [["C", "10:00", 1000]]]] };
  assert.deepEqual(turnLines(both, 900), [
    "Red: Next: station A, 10:00",
    "Blue: Next: station C, 10:00",
  ]);
});

test("a change is called out while the round after it lasts", () => {
  const changed = { ...rotation, change: [1500, 2100, ["B"]] };
  assert.equal(changeWords(changed, 1501), "Everybody change: go to station B");
  assert.equal(changeWords(changed, 2100), "");
  assert.equal(changeWords(rotation, 1501), "");
});

test("a group that waits is told so", () => {
  assert.equal(
    changeWords({ ...rotation, change: [1500, 2100, [""]] }, 1501),
    "Everybody change: your group waits this round",
  );
});
