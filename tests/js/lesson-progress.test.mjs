import assert from "node:assert/strict";
import { test } from "node:test";
import {
  begun,
  finished,
  isDone,
  lastSet,
  missed,
  missedIn,
  nextLesson,
  nextSet,
  readProgress,
} from "../../exercises/static/exercises/js/lesson-progress.js";

const CODES = ["hold", "box", "read"];

test("a lesson is done when it was gone through, however much went wrong in it", () => {
  const progress = finished(missed(begun({}, "hold"), "hold", 1), "hold");
  assert.deepEqual(
    [isDone(progress, "hold"), isDone(progress, "box"), missedIn(progress, "hold")],
    [true, false, [1]],
  );
});
test("a round that went wrong twice is repeated once", () =>
  assert.deepEqual(missedIn(missed(missed({}, "box", 2), "box", 2), "box"), [2]));
test("what went wrong the last time is over when a lesson begins again", () =>
  assert.deepEqual(missedIn(begun(missed({}, "box", 2), "box"), "box"), []));
test("a lesson that is gone through again has other questions, and its end those it had", () => {
  let progress = {};
  const seen = [];
  for (let time = 0; time < 4; time += 1) {
    seen.push(nextSet(progress, "read", 3));
    progress = finished(progress, "read");
    assert.equal(lastSet(progress, "read", 3), seen.at(-1));
  }
  assert.deepEqual(seen, [0, 1, 2, 0]);
});
test("the next lesson is the first one after it that was not done, in a circle", () => {
  const done = (...codes) => codes.reduce(finished, {});
  assert.deepEqual(
    [
      nextLesson(done("hold"), CODES, "hold"),
      nextLesson(done("hold", "box"), CODES, "hold"),
      nextLesson(done("read"), CODES, "read"),
      nextLesson(done(...CODES), CODES, "read"),
    ],
    ["box", "read", "hold", null],
  );
});
test("what was kept comes back as it was", () => {
  const progress = finished(missed({}, "hold", 0), "hold");
  assert.deepEqual(readProgress(JSON.stringify(progress), CODES), progress);
});
for (const noted of [
  "",
  "nonsense",
  "null",
  "[]",
  '{"hold": 3}',
  '{"hold": {"times": -1, "missed": []}}',
  '{"hold": {"times": "many", "missed": []}}',
  '{"hold": {"times": 1, "missed": "all"}}',
  '{"elsewhere": {"times": 1, "missed": []}}',
]) {
  test(`a note that is none of ours counts for nothing: ${noted}`, () =>
    assert.deepEqual(readProgress(noted, CODES), {}));
}
test("of a kept lesson only places of rounds are believed", () =>
  assert.deepEqual(readProgress('{"box": {"times": 2, "missed": [1, "x", -4, 0.5]}}', CODES), {
    box: { times: 2, missed: [1] },
  }));
