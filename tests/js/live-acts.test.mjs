import assert from "node:assert/strict";
import { test } from "node:test";
import { asAct, seenTo } from "../../exercises/static/exercises/js/live-acts.js";

test("an act holds what its form says, its id and its time, and no token", () => {
  const fields = { csrfmiddlewaretoken: "secret", do: "see_to", sign: "station:C:", id: "old" };

  assert.deepEqual(asAct(fields, { id: "new", at: "2026-10-03T10:00:00Z" }), {
    do: "see_to",
    sign: "station:C:",
    id: "new",
    at: "2026-10-03T10:00:00Z",
  });
});

test("what was seen to and taken back again is not seen to", () => {
  const waiting = [
    { do: "see_to", sign: "station:C:" },
    { do: "see_to", sign: "line:3:" },
    { do: "note", words: "rain" },
    { do: "take_back", sign: "station:C:" },
  ];

  assert.deepEqual(seenTo(waiting), ["line:3:"]);
});
