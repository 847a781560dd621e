import assert from "node:assert/strict";
import { test } from "node:test";
import { toKeep } from "../../exercises/static/exercises/js/kept-class.js";

const told = {
  code: "K3M9TP",
  stamp: "x",
  state: "open",
  name: "Saturday",
  cautions: "Keep off the road.",
  people: [{ id: 1, name: "Mia", code: "ACDEFH" }],
  stations: [1],
  tasks: [1],
  sent: [],
  shown: [{ task: "1" }],
};

test("during a class everything is kept", () =>
  assert.deepEqual(toKeep(told, 5), { ...told, kept_at: 5 }));
test("after a class only the own results are kept", () =>
  assert.deepEqual(toKeep({ ...told, state: "closed" }, 5), {
    code: "K3M9TP",
    stamp: "",
    state: "closed",
    name: "Saturday",
    cautions: "",
    safety: "",
    rotation: null,
    people: [{ id: 1, name: "Mia" }],
    stations: [],
    tasks: [],
    sent: [],
    shown: [{ task: "1" }],
    kept_at: 5,
  }));
