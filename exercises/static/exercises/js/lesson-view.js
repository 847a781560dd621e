/** Shows a lesson: how it begins, its rounds one by one, and what can be done at its end. */
import { difference, likeliest } from "./compass.js";
import { button, find, text } from "./dom.js";
import { drawRound, spot } from "./lesson-drawing.js";
import {
  begun,
  finished,
  lastSet,
  missed,
  missedIn,
  nextLesson,
  nextSet,
} from "./lesson-progress.js";
import { showOnly } from "./views.js";
import { say } from "./words.js";

const REACH_DEG = 25; // how near the number at the index line must be to a mistake's

/**
 * Wires the views of a lesson.
 * @param {object} page `lessons`, `drawings` and `signs` as the page brought them
 * @param {object} compass the instrument that turns
 * @param {{read: () => object, write: (progress: object) => void}} kept the phone's progress
 * @param {(address: string) => void} goTo changes the page's address
 */
export function lessonView(page, compass, kept, goTo) {
  const codes = page.lessons.map(({ code }) => code);
  let lesson = null;
  let place = 0; // of the round
  let round = null;

  const setNow = () => lesson.sets[nextSet(kept.read(), lesson.code, lesson.sets.length)];

  function showBeginning() {
    find("step").textContent = "";
    find("lesson-title").textContent = lesson.title;
    find("lesson-begin").textContent = lesson.begin;
    showOnly("lesson");
    find("lesson-title").focus();
  }

  function tell(title, words, isRight) {
    const lines = [text("p", title, "lead verdict"), text("p", words)];
    find("round-said").replaceChildren(...lines);
    find("round-said").classList.toggle("is-right", isRight);
    find("round-next").hidden = !isRight;
    if (isRight) find("round-next").focus();
    else find("round-said").scrollIntoView({ block: "nearest" });
  }

  function note(isRight) {
    if (!isRight) kept.write(missed(kept.read(), lesson.code, place));
  }

  /** What comes of a choice; marked where it was made, so that nobody chooses in vain twice. */
  function choose({ is_right: isRight, said }, marked) {
    note(isRight);
    for (const one of marked) one.classList.add(isRight ? "is-right" : "is-tried");
    tell(isRight ? say("Right.") : say("Look again"), said, isRight);
  }

  function choiceButton(choice) {
    const marked = [];
    const act = () => {
      choose(choice, marked);
      made.setAttribute("aria-pressed", "true");
    };
    const made = choice.picture
      ? button("", act, { label: choice.text, className: "picture" })
      : button(choice.text, act);
    made.setAttribute("aria-pressed", "false");
    marked.push(made);
    return { choice, made, marked, act };
  }

  function showChoices(svg) {
    const group = find("round-choices");
    const choices = round.choices.map(choiceButton);
    group.hidden = !choices.length;
    group.replaceChildren(...choices.map(({ made }) => made));
    group.className = round.choices.some(({ picture }) => picture)
      ? "pictures"
      : "choices two-wide";
    for (const { choice, made, marked, act } of choices) {
      if (choice.picture) drawRound(made, choice.picture, page).setAttribute("aria-hidden", "true");
      if (choice.at) marked.push(spot(svg, choice.at, act));
    }
  }

  function showTurn({ facing, number, ahead }) {
    compass.stand("round", { canTurnBody: false });
    const landmarks = [{ ...ahead, bearing_deg: facing }];
    compass.begin({ landmarks, declination_deg: 0, facing, number });
  }

  /** The housing as it was turned: right, or where the likeliest mistake leads. */
  function judgeTurn() {
    const { answer_deg: answer, within_deg: within, wrongs } = round.turn;
    const off = difference(compass.number(), answer);
    const isRight = Math.abs(off) <= within;
    const mistake = likeliest(wrongs, compass.number(), REACH_DEG);
    const unknown = say("The north end of the needle does not lie in the orienting arrow yet.");
    note(isRight);
    if (isRight) tell(say("Right."), round.right, true);
    else tell(say("Look again"), mistake ? `${mistake.cause} ${mistake.advice}` : unknown, false);
  }

  function showRound() {
    round = setNow()[place];
    const values = { step: place + 1, number: setNow().length };
    find("step").textContent = say("{step} of {number}", values);
    find("round-ask").textContent = round.ask;
    find("round-note").textContent = round.note;
    find("round-said").replaceChildren();
    find("round-next").hidden = true;
    find("round-turn").hidden = !round.turn;
    showOnly("round"); // before anything is drawn: a text that is hidden has no length
    find("round-stage").replaceChildren();
    const svg = round.drawing && drawRound(find("round-stage"), round.drawing, page);
    showChoices(svg);
    if (round.turn) showTurn(round.turn);
    find("round-ask").focus();
  }

  function showEnd() {
    const progress = kept.read();
    const set = lesson.sets[lastSet(progress, lesson.code, lesson.sets.length)];
    const wrong = missedIn(progress, lesson.code).filter((index) => set[index]);
    const repeats = [...new Set(wrong.map((index) => set[index].repeat))];
    const nothing = say("Everything was right at once. Tell somebody at home how it is done.");
    const next = nextLesson(progress, codes, lesson.code);
    find("step").textContent = "";
    find("end-title").textContent = say("Done: {name}", { name: lesson.title });
    find("end-now").textContent = lesson.now;
    find("end-repeat").replaceChildren(
      ...(repeats.length ? repeats : [nothing]).map((words) => text("li", words)),
    );
    find("end-next").hidden = !next;
    find("end-next").dataset.code = next ?? "";
    showOnly("lesson-end");
    find("end-title").focus();
  }

  find("lesson-go").addEventListener("click", () => {
    kept.write(begun(kept.read(), lesson.code));
    goTo(`${lesson.code}/1`);
  });
  find("round-boxed").addEventListener("click", judgeTurn);
  find("round-next").addEventListener("click", () => {
    if (place + 1 < setNow().length) return goTo(`${lesson.code}/${place + 2}`);
    kept.write(finished(kept.read(), lesson.code));
    return goTo(`${lesson.code}/end`);
  });
  find("end-next").addEventListener("click", ({ target }) => goTo(target.dataset.code));
  find("end-again").addEventListener("click", () => {
    kept.write(begun(kept.read(), lesson.code));
    goTo(`${lesson.code}/1`);
  });

  return {
    /** Shows what an address asks for, `box/2`, and tells whether there is such a thing. */
    show(code, step) {
      lesson = page.lessons.find((one) => one.code === code) ?? null;
      if (!lesson) return false;
      place = Number(step) - 1;
      if (step === "end" && lastSet(kept.read(), code, lesson.sets.length) >= 0) showEnd();
      else if (setNow()[place]) showRound();
      else showBeginning();
      return true;
    },
  };
}
