import assert from "node:assert/strict";
import { test } from "node:test";
import {
  apply,
  countDone,
  holdsResultsOnly,
  isAnswered,
  isDone,
  markGiven,
  markSent,
  markWaiting,
  newState,
  reopen,
  takeFeedback,
  tasksAt,
} from "../../exercises/static/exercises/js/class-state.js";

const told = {
  name: "Saturday",
  state: "open",
  people: [{ id: 1 }, { id: 2 }],
  stations: [{ code: "A" }],
  tasks: [
    { label: "1", station: "A" },
    { label: "2", station: "B", at: ["A", "B"] },
  ],
  sent: [[1, "1"]],
  shown: [{ person: 1, task: "1", credit: "Full credit" }],
};

function phone(changed = {}) {
  const state = newState("K3M9TP");
  apply(state, { ...told, ...changed });
  return state;
}

test("what the server tells replaces what was marked before", () => {
  const state = phone();
  markGiven(state, { person: 2, task: "2" });
  apply(state, told);
  assert.deepEqual([...state.answered], ["1 1"]);
  assert.deepEqual([...state.feedback], [["1 1", told.shown[0]]]);
  assert.equal(state.isKnown, true);
});
test("the first person is chosen, and stays chosen until they leave the phone", () => {
  const state = phone();
  assert.equal(state.person, 1);
  state.person = 2;
  apply(state, told);
  assert.equal(state.person, 2);
  apply(state, { ...told, people: [{ id: 3 }] });
  assert.equal(state.person, 3);
  apply(state, { ...told, people: [] });
  assert.equal(state.person, null);
});
test("the task on the screen is the one that was told last, or stays as it was", () => {
  const state = phone();
  [state.task] = told.tasks;
  const renamed = { label: "1", station: "A", prompt: "¿Rumbo?" };
  apply(state, { ...told, tasks: [renamed] });
  assert.equal(state.task, renamed);
  apply(state, { ...told, tasks: [] });
  assert.equal(state.task, renamed);
});
test("readings that wait are counted, and what was said of an earlier try is gone", () => {
  const state = phone();
  markWaiting(state, [{ person: 1, task: "1" }]);
  assert.equal(state.unsent, 1);
  assert.equal(state.feedback.size, 0);
  assert.equal(isAnswered(state, 1, "1"), true);
});
test("a hint asks for a second try, so the task is not done", () => {
  const state = phone();
  takeFeedback(state, [{ person: 1, task: "1", hint: "Look again." }]);
  assert.deepEqual([isAnswered(state, 1, "1"), isDone(state, 1, "1")], [true, false]);
});
test("a task is done when everybody on the phone is through with it", () => {
  const state = phone();
  assert.equal(countDone(state, ["1", "2"]), 0);
  markGiven(state, { person: 2, task: "1" });
  assert.equal(countDone(state, ["1", "2"]), 1);
});
test("what the server has counted is noted with what is kept of the class", () => {
  const state = phone({ sent: [], shown: [] });
  const outcomes = [
    { person: 1, task: "1", graded: true },
    { person: 2, task: "1", graded: false },
  ];
  markSent(state, outcomes);
  assert.deepEqual(state.courseClass.sent, [[1, "1"]]);
  assert.equal(state.changes, 1);
});
test("a reading that is refused, in conflict or not counted opens its task again", () => {
  const readings = ["1", "2", "3"].map((task) => ({ id: `id ${task}`, person: 1, task }));
  const state = phone({ sent: [] });
  markWaiting(state, readings);
  reopen(
    state,
    [
      { id: "id 1", status: "refused" },
      { id: "id 2", status: "conflict" },
      { id: "id 3", status: "stored", person: 1, task: "3", graded: false },
      { id: "id 4", status: "stored", person: 1, task: "4", graded: true },
    ],
    readings,
  );
  assert.deepEqual([...state.answered], []);
});
test("a task is at every mark where it is asked, and at its station where none is named", () => {
  const labels = (code) => tasksAt(phone(), code).map(({ label }) => label);
  assert.deepEqual([labels("A"), labels("B"), labels("C")], [["1", "2"], ["2"], []]);
});
test("only a closed class of which no task is kept is one of results", () => {
  const shells = [{}, { state: "closed" }, { tasks: [] }, { state: "closed", tasks: [] }];
  assert.deepEqual(
    shells.map((changed) => holdsResultsOnly(phone(changed))),
    [false, false, false, true],
  );
});
