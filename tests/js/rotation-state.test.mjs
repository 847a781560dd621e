import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import {
  endsRound,
  left,
  signalled,
  turnAt,
  withWaiting,
} from "../../exercises/static/exercises/js/rotation-state.js";

const shared = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/rotation_signals.json", import.meta.url), "utf8"),
);

for (const { name, rounds, signals, moved, turns } of shared) {
  test(`as the server reckons: ${name}`, () => {
    const found = signalled(rounds, signals, 2);
    assert.deepEqual(
      found.map(([from, until]) => [from, until]),
      moved,
    );
    for (const [now, turn, ends] of turns) {
      const expected = turn && { number: turn[0], isWalk: turn[1], until: turn[2] };
      assert.deepEqual(turnAt(found, now), expected);
      assert.equal(endsRound(found, now), ends);
    }
  });
}

test("what waits here counts with what the server told, by the server's clock", () => {
  const waiting = [
    { what: "change", round: 1, marked_at: "1970-01-01T00:10:00Z" },
    { what: "here", group: "Red", station: "A", marked_at: "1970-01-01T00:10:00Z" },
  ];
  assert.deepEqual(withWaiting([["more", 0, 60]], waiting, 30), [
    ["more", 0, 60],
    ["change", 1, 570],
  ]);
});

test("the clock runs down by the second and stops at nothing", () => {
  assert.deepEqual([599.2, 60, 0.4, -3].map(left), ["10:00", "1:00", "0:01", "0:00"]);
});
