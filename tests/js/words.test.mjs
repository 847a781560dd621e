import assert from "node:assert/strict";
import { test } from "node:test";
import { say, sayMany } from "../../exercises/static/exercises/js/words.js";

test("values stand where they are named", () =>
  assert.equal(say("{name}, task {task}", { name: "Mia", task: "3" }), "Mia, task 3"));
test("one is one, and none and two are many", () =>
  assert.deepEqual(
    [0, 1, 2].map((number) => sayMany("one reading", "{number} readings", number)),
    ["0 readings", "one reading", "2 readings"],
  ));
