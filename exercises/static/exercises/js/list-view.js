/** The list of stations, with what a person should know before they go. It fills its own view. */
import { holdsResultsOnly, personWith, tasksAt } from "./class-state.js";
import { button, find, text } from "./dom.js";
import { isFragile } from "./outbox.js";
import { hasHeard } from "./heard.js";
import { doneWords, row } from "./rows.js";
import { go } from "./views.js";
import { say } from "./words.js";
import { canReopen } from "./worker-link.js";

const nameOf = (state, id) => personWith(state, id)?.name ?? "";

/** Readings that the server will not take: each with the reason, until the person sets it aside. */
export function showTroubles(state, refused, readings, setAside) {
  const items = refused.map(({ id, message }) => {
    const reading = readings.find((waiting) => waiting.id === id);
    const name = nameOf(state, reading?.person);
    const values = { name, task: reading?.task, text: reading?.text };
    const item = text("li", "");
    const act = () => setAside(id, item);
    item.append(
      text("strong", say("{name}, task {task}: {text}.", values)),
      " ",
      message,
      " ",
      button(say("Set aside"), act, { className: "quiet" }),
    );
    return item;
  });
  find("troubles").replaceChildren(...items);
}

/** What the person should know of this phone: whether it may close the page and keeps readings. */
export function showNotes(state) {
  find("fragile").hidden = !isFragile();
  find("reopens").hidden = !canReopen();
  find("stays-open").hidden = canReopen();
  find("to-handover").hidden = !state.unsent;
}

const stationRow = (state, { code, name }) =>
  row(code, name, doneWords(state, tasksAt(state, code)), () => {
    location.hash = code;
  });

/**
 * After a class the phone holds nothing but the person's own results: these stand where the
 * stations were.
 */
const resultRow = (state, feedback, openResult) =>
  row(feedback.task, nameOf(state, feedback.person), feedback.credit ?? "", () => {
    openResult(feedback);
  });

function codeItem({ name, code }) {
  const item = text("li", `${name}: `);
  item.append(text("strong", code.replace(/^(...)/, "$1 "), "personal-code"));
  return item;
}

/** The cautions stay open until they are said to have been read; then they fold, and can be opened. */
function showHeard(code, words) {
  const heard = !words || hasHeard(code, words);
  find("heard").hidden = heard;
  find("before").open = !heard || !words;
}

function showHead({ code, name, people, cautions, safety = "" }) {
  const names = people.map((person) => person.name).join(", ");
  find("class-name").textContent = name;
  find("who").textContent = say("This phone writes for {names}.", { names });
  find("cautions").textContent =
    cautions || say("Stay where your instructor can see you. Stand still to read.");
  find("safety").textContent = safety;
  find("safety").hidden = !safety;
  showHeard(code, cautions + safety);
}

/**
 * The ways to the counting of paces, where a task is walked, and to the unit of lengths, where any
 * are told.
 */
function showPaceLink({ tasks, people }) {
  const pace = people[0]?.pace_m;
  find("pace-link").hidden = !tasks.some(({ legs }) => legs);
  find("lengths-link").hidden = !tasks.some(({ legs, widget }) => legs || widget === "place");
  find("pace-link").textContent = pace
    ? say("{paces} double paces in 100 m: count again", { paces: Math.round(100 / pace) })
    : say("Count your paces");
}

/**
 * Shows the list; `openResult(feedback)` shows what a reading of a class that is over was worth.
 */
export function showList(state, openResult) {
  const { courseClass } = state;
  const onlyResults = holdsResultsOnly(state);
  showHead(courseClass);
  find("before").hidden = onlyResults;
  find("sheet").hidden = !courseClass.sheet;
  find("waiting").hidden = courseClass.state !== "draft";
  find("over").hidden = courseClass.state !== "closed";
  const rows = onlyResults
    ? courseClass.shown
        .filter(({ credit }) => credit)
        .map((feedback) => resultRow(state, feedback, openResult))
    : courseClass.stations.map((station) => stationRow(state, station));
  find("stations").replaceChildren(...rows);
  const withCode = courseClass.people.filter(({ code }) => code);
  find("codes").replaceChildren(...withCode.map(codeItem));
  find("if-it-dies").hidden = !withCode.length;
  showPaceLink(courseClass);
  showNotes(state);
  go("list");
}
