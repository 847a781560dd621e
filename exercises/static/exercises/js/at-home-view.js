/**
 * The quiet question on the class's page whether the instructor may know which lessons were done at
 * home, and the way to take it back; sends what was wished until the server has it.
 */
import { atHome, delivered, readWishes, toSend, wished } from "./at-home.js";
import { personWith } from "./class-state.js";
import { button, find, text } from "./dom.js";
import { isDone, readProgress } from "./lesson-progress.js";
import { note, noted } from "./small-notes.js";
import { showStatus } from "./status.js";
import { tellAtHome } from "./sync.js";
import { viewNow } from "./views.js";
import { say, sayMany } from "./words.js";

const PROGRESS = "practice lessons";

/** What is asked: on a phone that several people share, whose lessons they were. */
function question(number, isShared) {
  if (isShared) {
    return sayMany(
      "{number} lesson was finished at home on this phone. Whose was it? Tap a name to tell your instructor.",
      "{number} lessons were finished at home on this phone. Whose were they? Tap a name to tell your instructor.",
      number,
    );
  }
  return sayMany(
    "You finished {number} lesson at home. Tell your instructor?",
    "You finished {number} lessons at home. Tell your instructor?",
    number,
  );
}

/** What the instructor knows of a person, or will. */
function toldWords({ name, lessons, isSent }) {
  const values = { name };
  if (!lessons.length) return say("{name}: it will be taken back when there is signal.", values);
  return isSent
    ? sayMany(
        "{name}: your instructor knows of {number} lesson done at home.",
        "{name}: your instructor knows of {number} lessons done at home.",
        lessons.length,
        values,
      )
    : sayMany(
        "{name}: {number} lesson done at home will be told when there is signal.",
        "{name}: {number} lessons done at home will be told when there is signal.",
        lessons.length,
        values,
      );
}

/**
 * Wires the question.
 * @param {object} state what the phone knows of its class
 * @returns {{show: () => void, send: () => Promise<void>}}
 */
export function atHomeView(state) {
  const name = `at home ${state.code}`;
  const codes = find("at-home").dataset.homeLessons.split(" ");
  const progress = () => readProgress(noted(PROGRESS), codes);
  const done = () => codes.filter((code) => isDone(progress(), code));
  const read = () => readWishes(noted(name));
  let running = null;
  let wasTakenBack = false; // a moment ago: said until something else is

  function write(wishes) {
    const isEmpty = !wishes.later && !Object.keys(wishes.wishes).length;
    note(name, isEmpty ? "" : JSON.stringify(wishes));
  }

  /** Goes on after a touch: the button that had the focus is gone. */
  function changed(wishes) {
    wasTakenBack = false;
    write(wishes);
    show();
    find("at-home-words").focus();
    return send();
  }

  /** Whoever takes it back does not wish to be asked again. */
  const tell = (id, lessons) => changed(wished({ ...read(), later: !lessons.length }, id, lessons));
  const putOff = (later) => changed({ ...read(), later });

  function askButtons(people) {
    const names = people.map((person) =>
      button(people.length > 1 ? person.name : say("Tell"), () => tell(person.id, done()), {
        className: "button button-quiet",
      }),
    );
    return [...names, button(say("Not now"), () => putOff(true), { className: "quiet" })];
  }

  /** The names stand on the buttons where several people share the phone. */
  function toldButtons(told) {
    const isShared = state.courseClass.people.length > 1;
    return told.flatMap(({ id, name: who, lessons }) => {
      const label = say("Take it back: {name}", { name: who });
      const words = isShared ? label : say("Take it back");
      const back = button(words, () => tell(id, []), { className: "quiet", label });
      if (!lessons.length) return [];
      const isMore = done().some((code) => !lessons.includes(code));
      const all = [...new Set([...lessons, ...done()])];
      const values = { number: all.length, name: who };
      const more = isShared
        ? say("{name}: tell of all {number}", values)
        : say("Tell of all {number}", values);
      return isMore
        ? [button(more, () => tell(id, all), { className: "button button-quiet" }), back]
        : [back];
    });
  }

  const untoldButtons = (untold) =>
    untold.map(({ id, name: who }) =>
      button(say("Tell for {name} too", { name: who }), () => tell(id, done()), {
        className: "button button-quiet",
      }),
    );

  /** Words and buttons of what there is to show. */
  function partsOf({ view, told, untold }) {
    const { people } = state.courseClass;
    if (view === "told") {
      return {
        words: told.map(toldWords),
        buttons: [...untoldButtons(untold), ...toldButtons(told)],
      };
    }
    if (view === "ask") {
      return {
        words: [question(done().length, people.length > 1)],
        buttons: askButtons(people),
      };
    }
    const again = say("Tell which lessons I did at home");
    return {
      words: wasTakenBack ? [say("Taken back. Your instructor knows of no lesson.")] : [],
      buttons: [button(again, () => putOff(false), { className: "quiet" })],
    };
  }

  function show() {
    const found = atHome(state.courseClass, done(), read());
    find("at-home").hidden = !found.view;
    if (!found.view) return;
    const { words, buttons } = partsOf(found);
    find("at-home-words").replaceChildren(...words.map((sentence) => text("span", sentence)));
    find("at-home-note").hidden = found.view !== "ask";
    find("at-home-do").replaceChildren(...buttons);
  }

  /** The server's word on a wish: what it knows now, or why it will not take it. */
  function taken({ person, lessons }, { home = [], trouble = "" }) {
    const known = personWith(state, person);
    if (known && !trouble) known.home = home;
    state.changes += 1; // what the server told before is out of date
    wasTakenBack = !trouble && !home.length;
    write(delivered(read(), person, lessons));
    if (trouble) showStatus(trouble);
    if (viewNow() === "list") show();
  }

  async function sendAll() {
    const tried = new Set();
    for (;;) {
      const wish = toSend(read()).find((one) => !tried.has(JSON.stringify(one)));
      if (!wish) return;
      tried.add(JSON.stringify(wish));
      const answer = await tellAtHome(state.code, wish);
      if (answer) taken(wish, answer); // without one the next turn sends it again
    }
  }

  function send() {
    running ??= sendAll().finally(() => {
      running = null;
    });
    return running;
  }

  return { show, send };
}
