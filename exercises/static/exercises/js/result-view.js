/** What a reading was worth, or a hint, or that it is kept. It fills its own view. */
import { about } from "./about.js";
import { questionNow, saidTo } from "./class-state.js";
import { dial } from "./dial.js";
import { button, drawn, find, text } from "./dom.js";
import { othersAreMissing, toldAfter, triesAgain } from "./next-step.js";
import { go } from "./views.js";
import { say } from "./words.js";

function waitingWords(state) {
  const { policy, label } = state.task;
  const then = toldAfter(state);
  if (then) {
    return say("You will see how it went when you have faced it: task {task}.", { task: then });
  }
  if (policy === "released") return say("You will see how it went when your instructor says.");
  if (othersAreMissing(state, label)) {
    return say("You will see how it went when everybody on this phone has read it.");
  }
  const friend = triesAgain(state, label);
  if (friend) {
    return say("You will see how it went when {name} has tried again.", { name: friend.name });
  }
  return say("You will see how it went as soon as it is sent.");
}

function fill(title, ...parts) {
  find("result-title").textContent = title;
  find("result").replaceChildren(...parts);
}

/** What was typed with the unit and the north in which it was asked, where that is known. */
function typedWords(state) {
  const { typed } = state.looking;
  const { widget, beside } = saidTo(state);
  if (widget !== "bearing" || !beside) return typed;
  return beside.startsWith("°") ? `${typed}${beside}` : `${typed} ${beside}`;
}

function showKept(state) {
  const { task, looking } = state;
  const words = { task: task.label, typed: typedWords(state) };
  const own = looking.typed ? [text("p", say("Task {task}: {typed}.", words))] : [];
  fill(say("Kept"), ...own, text("p", waitingWords(state)));
}

function showHint({ own, hint, words }) {
  fill(say("Look again"), text("p", own, "dim"), text("p", hint, "lead hint"), ...about(words));
}

/** A right answer has the colour of right ones, beside its words and in its drawing. */
const isRight = ({ mark }) => mark === "full";

function readingBesideAnswer(feedback) {
  const { own, reading, answer } = feedback;
  const list = text("dl", "", "outcome");
  for (const [name, value, look] of [
    [own, reading, isRight(feedback) ? "right" : "you"],
    [say("The answer"), answer, "right"],
  ]) {
    const group = text("div", "");
    group.append(text("dt", name), text("dd", value, look));
    list.append(group);
  }
  return list;
}

/** For who knows better what happened: one tap, folded away. */
function insteadOf({ labelled }, { about, instead }, label) {
  if (!instead?.length) return [];
  const said = instead.find(({ code }) => code === labelled.get(about));
  if (said) return [text("p", say("You said: {cause}. Thank you.", { cause: said.text }), "dim")];
  const folded = text("details", "", "instead");
  const choices = text("div", "", "replies");
  choices.append(
    ...instead.map(({ code, text: words }) =>
      button(words, () => label(about, code), { className: "button button-quiet wide" }),
    ),
  );
  folded.append(text("summary", say("I know what happened")), choices);
  return [folded];
}

/** The drawing of an answer beside what is right. */
function picture(feedback) {
  // a phone may still hold drawings that were sent as such
  const drawing = drawn(typeof feedback.dial === "string" ? feedback.dial : dial(feedback.dial));
  drawing.classList.toggle("is-right", isRight(feedback));
  return drawing;
}

/** What an earlier version of the page kept has its credit alone for a heading. */
function showAnswer(feedback, more) {
  const { heading = feedback.credit, well = "", note } = feedback;
  fill(
    heading,
    ...(well ? [text("p", well, "lead")] : []),
    ...(note ? [text("p", note, "dim")] : []),
    ...partCredit(feedback),
    readingBesideAnswer(feedback),
    picture(feedback),
    text("p", feedback.error, "dim"),
    ...(feedback.cause ? [text("p", feedback.cause, "lead")] : []),
    text("p", feedback.advice),
    ...about(feedback.words),
    ...more,
  );
}

/** How much of the credit a near miss earned; of all and of nothing the heading speaks. */
const partCredit = ({ mark, credit }) => (mark === "part" ? [text("p", credit, "dim")] : []);

/**
 * Asks about a reading before its cause is told: how it went is seen, what happened is open. What
 * an earlier version of the page kept has no heading of its own.
 */
function showQuestion(feedback, reply) {
  const { question } = feedback;
  const { heading, prompt } = question;
  const choices = question.choices.map((choice) =>
    button(choice.text, () => reply(question, choice.code), { className: "button wide" }),
  );
  const pass = button(say("Pass over"), () => reply(question, ""), { className: "quiet" });
  const all = text("div", "", "replies");
  all.append(...choices, pass);
  fill(
    heading ?? prompt,
    ...partCredit(feedback),
    readingBesideAnswer(feedback),
    ...(heading ? [text("h2", prompt, "ask")] : []),
    all,
    text("p", question.why, "dim"),
    ...about(question.words),
  );
}

/**
 * Shows the reading that the state is looking at, and moves the focus to it from elsewhere.
 * @param {object} told `reply(question, said)` hears what is said to a question, `label(about, cause)`
 *   what truly happened
 */
export function showResult(state, { reply, label }) {
  const feedback = state.feedback.get(state.looking.key);
  const isAsked = Boolean(questionNow(state));
  if (!feedback) showKept(state);
  else if (isAsked) showQuestion(feedback, reply);
  else if (feedback.hint) showHint(feedback);
  else showAnswer(feedback, insteadOf(state, feedback, label));
  find("again").hidden = !feedback?.hint;
  find("another").hidden = Boolean(feedback) || state.task.policy !== "released";
  find("next").hidden = isAsked;
  find("next").className = feedback?.hint ? "button button-quiet wide apart" : "button wide";
  const focused = document.activeElement;
  go("result");
  if (!focused?.closest("[data-view=result]")) find("result-title").focus();
}
