import assert from "node:assert/strict";
import { test } from "node:test";
import {
  apply,
  keyOf,
  markGiven,
  newState,
} from "../../exercises/static/exercises/js/class-state.js";
import {
  afterRefresh,
  afterResult,
  canBeAsked,
  hasResult,
  leadsTo,
  othersAreMissing,
  readAddress,
  toldAfter,
  triesAgain,
  turnAt,
  waitsFor,
} from "../../exercises/static/exercises/js/next-step.js";

const MIA = { id: 1, name: "Mia" };
const NELE = { id: 2, name: "Nele" };
const STATIONS = [
  { code: "A", name: "Gate", mark: "the post" },
  { code: "B", name: "Oak", mark: "the stone" },
];
const TASKS = [
  { label: "1", station: "A", prompt: "Bearing to the tower?", policy: "at_once" },
  { label: "2", station: "A", prompt: "Bearing to the mast?", policy: "released" },
  { label: "3", station: "B", at: ["A", "B"], prompt: "Where are you?", policy: "at_once" },
  { label: "4", station: "B", prompt: "Face it.", policy: "at_once", after: "5" },
  { label: "5", station: "B", prompt: "Off the map?", policy: "at_once", then: "4" },
];

/** A phone in the class: who is on it, which readings (person, task) it has given. */
function phone({ people = [MIA], given = [], at = "1", ...changed } = {}) {
  const state = newState("K3M9TP");
  const told = { name: "Saturday", state: "open", stations: STATIONS, tasks: TASKS, shown: [] };
  apply(state, { ...told, people, sent: given, ...changed });
  state.task = TASKS.find(({ label }) => label === at);
  return state;
}

const hint = (person, task) => ({ person, task, hint: "Look at the index line." });
const answer = (person, task) => ({ person, task, credit: "Full credit" });

test("an address of a task leads to it, of a station to that, and no address to the list", () => {
  const state = phone();
  assert.deepEqual(leadsTo(state, "#A/1"), { view: "task", task: TASKS[0], person: 1 });
  assert.deepEqual(leadsTo(state, "#B"), { view: "station", station: STATIONS[1] });
  assert.deepEqual(leadsTo(state, "#hand-over"), { view: "handover" });
  assert.deepEqual(leadsTo(state, ""), { view: "list" });
});
test("an address of a task that is not asked there leads to the station", () => {
  assert.deepEqual(leadsTo(phone(), "#B/1"), { view: "station", station: STATIONS[1] });
});
test("an address of nothing that the class has leads to the list", () => {
  assert.deepEqual(leadsTo(phone(), "#Q/9"), { view: "list" });
});
test("a spoilt address leads to the list", () => {
  assert.deepEqual(readAddress("#%E0%A4%A"), [""]);
  assert.deepEqual(leadsTo(phone(), "#%E0%A4%A"), { view: "list" });
});
test("an address may be written with signs encoded", () => {
  assert.deepEqual(readAddress("#A%2F1"), ["A", "1"]);
});
test("a task that is asked at several marks is found at each of them", () => {
  const found = ["#A/3", "#B/3"].map((hash) => leadsTo(phone(), hash).task);
  assert.deepEqual(found, [TASKS[2], TASKS[2]]);
});

test("on a phone of one person it is always their turn", () => {
  assert.equal(turnAt(phone(), "1"), 1);
  assert.equal(turnAt(phone({ given: [[1, "1"]] }), "1"), 1);
});
test("on a shared phone it is the turn of who has not read yet", () => {
  assert.equal(turnAt(phone({ people: [MIA, NELE], given: [[1, "1"]] }), "1"), 2);
});
test("on a shared phone who was chosen and has not read yet keeps the turn", () => {
  const state = phone({ people: [MIA, NELE] });
  state.person = 2;
  assert.equal(turnAt(state, "1"), 2);
});
test("when all on a shared phone have read a task the turn stays", () => {
  const state = phone({
    people: [MIA, NELE],
    given: [
      [1, "1"],
      [2, "1"],
    ],
  });
  state.person = 2;
  assert.equal(turnAt(state, "1"), 2);
  assert.equal(othersAreMissing(state, "1"), false);
});

test("a task without a reading is asked", () => assert.equal(hasResult(phone()), false));
test("a reading that waits on the phone has a result to wait for", () => {
  const state = phone();
  markGiven(state, { person: 1, task: "1" });
  assert.equal(hasResult(state), true);
});
test("a hint is a result that is seen before the second try", () => {
  assert.equal(hasResult(phone({ shown: [hint(1, "1")] })), true);
});
test("a second try takes the hint of the first away", () => {
  const state = phone({ given: [[1, "1"]], shown: [hint(1, "1")] });
  markGiven(state, { person: 1, task: "1" });
  assert.equal(state.feedback.has(keyOf({ person: 1, task: "1" })), false);
  assert.equal(hasResult(state), true);
});

test("a task cannot be asked when its station was dropped", () => {
  assert.equal(canBeAsked(phone()), true);
  assert.equal(canBeAsked(phone({ stations: [STATIONS[1]] })), false);
});
test("of a class that is closed only results are kept, and no task can be asked", () => {
  const state = phone({ state: "closed", stations: [], tasks: [], shown: [answer(1, "1")] });
  state.task = { label: "1", station: "", policy: "" };
  assert.equal(canBeAsked(state), false);
  assert.equal(hasResult(state), true);
  assert.deepEqual(leadsTo(state, "#A/1"), { view: "list" });
  assert.deepEqual(afterResult(state), { address: "" });
});
test("of a class that is closed nobody on the phone is asked for a reading that is missing", () => {
  const state = phone({ state: "closed", people: [MIA, NELE], stations: [], tasks: [] });
  state.task = { label: "1", station: "", policy: "" };
  assert.deepEqual(afterResult(state), { address: "" });
});

test("a task that goes on with another waits until the person has given that one's number", () => {
  assert.equal(waitsFor(phone({ at: "4" })), "5");
  assert.equal(waitsFor(phone({ at: "4", given: [[1, "5"]] })), "");
});
test("on a shared phone another person's number is not gone on with", () => {
  assert.equal(waitsFor(phone({ people: [MIA, NELE], at: "4", given: [[2, "5"]] })), "5");
});
test("a task does not wait for one that the class does not ask", () => {
  assert.equal(waitsFor(phone({ at: "4", tasks: TASKS.slice(0, 4) })), "");
});
test("a task that goes on with none waits for none", () => assert.equal(waitsFor(phone()), ""));

test("an answer is told after the task that goes on with it", () => {
  assert.equal(toldAfter(phone({ at: "5" })), "4");
  assert.equal(toldAfter(phone({ at: "5", given: [[1, "4"]] })), "");
  assert.equal(toldAfter(phone({ at: "1" })), "");
});
test("an answer that the instructor releases is told after no task", () => {
  const state = phone();
  state.task = { ...TASKS[4], policy: "released" };
  assert.equal(toldAfter(state), "");
});

test("alone, the next open task of the station follows a result", () => {
  assert.deepEqual(afterResult(phone({ given: [[1, "1"]] })), { address: "A/2" });
});
test("tasks of the station that were left out before come after its last", () => {
  assert.deepEqual(afterResult(phone({ at: "2", given: [[1, "2"]] })), { address: "A/1" });
});
test("on a shared phone the next person at the same task follows a result", () => {
  const state = phone({ people: [MIA, NELE], given: [[1, "1"]] });
  assert.deepEqual(afterResult(state), { person: 2 });
});
test("on a shared phone the next task follows when everybody has read this one", () => {
  const given = [
    [1, "1"],
    [2, "1"],
    [1, "2"],
  ];
  assert.deepEqual(afterResult(phone({ people: [MIA, NELE], given })), { address: "A/2" });
});
test("a task that is asked at several marks goes on at the station that it belongs to", () => {
  assert.deepEqual(afterResult(phone({ at: "3", given: [[1, "3"]] })), { address: "B/4" });
});
test("the list follows when everything at the station is done", () => {
  const given = [
    [1, "1"],
    [1, "2"],
  ];
  assert.deepEqual(afterResult(phone({ given })), { address: "" });
});
test("a hint does not hold up the next task", () => {
  const state = phone({ given: [[1, "1"]], shown: [hint(1, "1")] });
  assert.deepEqual(afterResult(state), { address: "A/2" });
});

const unchanged = { view: "task", isBusy: false, wasAsked: TASKS[0].prompt };

test("a refresh fills a result that is looked at anew", () => {
  const state = phone({ given: [[1, "1"]] });
  state.looking = { key: "1 1", typed: "074" };
  assert.equal(afterRefresh(state, { ...unchanged, view: "result" }), "result");
});
test("a refresh goes where the address leads from any view but a task", () => {
  for (const view of ["wait", "list", "station", "handover"]) {
    assert.equal(afterRefresh(phone(), { ...unchanged, view }), "address");
  }
});
test("a refresh leaves a task that is asked, half typed or not", () => {
  assert.equal(afterRefresh(phone(), unchanged), "nothing");
  assert.equal(afterRefresh(phone(), { ...unchanged, isBusy: true }), "nothing");
});
test("a refresh asks a task anew when its words have changed", () => {
  const busy = { ...unchanged, isBusy: true, wasAsked: "¿Rumbo a la torre?" };
  assert.equal(afterRefresh(phone(), busy), "task");
});
test("a refresh goes away from a task that the class has dropped", () => {
  assert.equal(afterRefresh(phone({ tasks: TASKS.slice(1) }), unchanged), "address");
});
test("a refresh shows an answer that has come, unless a number is half typed", () => {
  const state = phone({ shown: [answer(1, "1")] });
  assert.equal(afterRefresh(state, unchanged), "address");
  assert.equal(afterRefresh(state, { ...unchanged, isBusy: true }), "nothing");
});
test("a refresh leaves the second try after a hint", () => {
  assert.equal(afterRefresh(phone({ shown: [hint(1, "1")] }), unchanged), "nothing");
});
test("who has a hint may try again, and nobody who has the answer", () => {
  const shown = [answer(1, "1"), hint(2, "1"), hint(1, "2")];
  const state = phone({ people: [MIA, NELE], shown });
  assert.equal(triesAgain(state, "1"), NELE);
  assert.equal(triesAgain(state, "3"), undefined);
});
