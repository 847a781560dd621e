import assert from "node:assert/strict";
import { test } from "node:test";
import {
  atHome,
  delivered,
  readWishes,
  toSend,
  wished,
} from "../../exercises/static/exercises/js/at-home.js";

const NONE = { later: false, wishes: {} };
const mia = { id: 1, name: "Mia" };
const tom = { id: 2, name: "Tom" };
const open = (...people) => ({ state: "open", people });

test("who has done nothing at home is not asked", () =>
  assert.equal(atHome(open(mia), [], NONE).view, ""));
test("who has done a lesson is asked", () =>
  assert.equal(atHome(open(mia), ["hold"], NONE).view, "ask"));
test("who put it off is not asked again", () =>
  assert.equal(atHome(open(mia), ["hold"], { later: true, wishes: {} }).view, "later"));
test("after a class nobody is asked", () =>
  assert.equal(atHome({ state: "closed", people: [mia] }, ["hold"], NONE).view, ""));
test("what the server knows can be taken back after a class, on a phone that has no lessons", () =>
  assert.deepEqual(atHome({ state: "closed", people: [{ ...mia, home: ["hold"] }] }, [], NONE), {
    view: "told",
    told: [{ id: 1, name: "Mia", lessons: ["hold"], isSent: true }],
    untold: [],
  }));
test("beside the one who told, the other on the phone may tell as well", () => {
  const told = { ...mia, home: ["hold"] };
  assert.deepEqual(atHome(open(told, tom), ["hold"], NONE).untold, [tom]);
  assert.deepEqual(atHome(open(told, tom), [], NONE).untold, []);
  assert.deepEqual(atHome({ state: "closed", people: [told, tom] }, ["hold"], NONE).untold, []);
});
test("a wish is shown before the server knows it, and of that person only", () =>
  assert.deepEqual(atHome(open(mia, tom), ["hold"], wished(NONE, 2, ["hold"])), {
    view: "told",
    told: [{ id: 2, name: "Tom", lessons: ["hold"], isSent: false }],
    untold: [mia],
  }));
test("what is to be taken back is shown so until the server has taken it back", () =>
  assert.deepEqual(atHome(open({ ...mia, home: ["hold"] }), ["hold"], wished(NONE, 1, [])).told, [
    { id: 1, name: "Mia", lessons: [], isSent: false },
  ]));

test("only the person who wishes it is told of", () =>
  assert.deepEqual(toSend(wished(NONE, 2, ["hold", "box"])), [
    { person: 2, lessons: ["hold", "box"] },
  ]));
test("a wish that was delivered is sent no more", () =>
  assert.deepEqual(delivered(wished(NONE, 1, ["hold"]), 1, ["hold"]), NONE));
test("a wish that changed while it was on its way stays", () =>
  assert.deepEqual(toSend(delivered(wished(NONE, 1, []), 1, ["hold"])), [
    { person: 1, lessons: [] },
  ]));

test("wishes survive being noted", () => {
  const wishes = wished({ later: true, wishes: {} }, 1, ["hold"]);
  assert.deepEqual(readWishes(JSON.stringify(wishes)), wishes);
});
for (const noted of [
  "",
  "null",
  "[1]",
  '{"wishes": {"1": "hold"}}',
  '{"wishes": {"1": [3]}}',
  "{",
]) {
  test(`a note that is none of ours is as none: ${noted}`, () =>
    assert.deepEqual(readWishes(noted), NONE));
}
