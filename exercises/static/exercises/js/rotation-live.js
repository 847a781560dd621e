/**
 * A rotation while it runs, on the page of who helps and on the large clock. It goes on by its own
 * clock; what is tapped shows at once, is kept here until the server has it, and what others tapped
 * comes in between. Without a signal it goes on for as long as the page is open.
 */
import { find } from "./dom.js";
import { newId } from "./new-id.js";
import { endsRound, left, signalled, turnAt, withWaiting } from "./rotation-state.js";
import { note, noted } from "./small-notes.js";
import { say, sayMany } from "./words.js";

const EVERY_MS = 3000;
const SOON_S = 60; // a change this near its time is not asked about
const SURE_MS = 4000; // so long a button waits for the second tap
const read = (id) => JSON.parse(document.getElementById(id).textContent);
const page = find("rotation");
const plan = read("plan");
const name = `rotation-${location.pathname.split("/")[2]}-${plan.version}`;
const token = document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
const timeOf = new Intl.DateTimeFormat("en-GB", {
  hour: "2-digit",
  minute: "2-digit",
  timeZone: plan.zone,
});
let waiting = JSON.parse(noted(name) || "[]"); // marks that the server does not have yet
let state = read("state");
let aheadS = Date.now() / 1000 - state.now; // of this clock
let isSending = false;
let sureUntil = 0;

const now = () => Date.now() / 1000 - aheadS;
const clock = (moment) => timeOf.format(new Date(moment * 1000));
const rounds = () => signalled(plan.rounds, withWaiting(state.signals, waiting, aheadS));

function put(element, words) {
  if (element && element.textContent !== words) element.textContent = words;
}

function turnWords(turn) {
  if (!turn) return say("All rounds are over.");
  const values = { number: turn.number + 1, of: plan.rounds.length, time: clock(turn.until) };
  return turn.isWalk
    ? say("Walking to round {number} of {of}, which begins at {time}", values)
    : say("Round {number} of {of}, until {time}", values);
}

function doing(turn, at) {
  if (!turn) return say("through");
  if (!at) return say("waits");
  return turn.isWalk ? say("on the way to {station}", { station: at }) : at;
}

function showGroups(turn, timed) {
  for (const item of document.querySelectorAll("[data-group]")) {
    const { group } = item.dataset;
    put(item.querySelector("[data-doing]"), doing(turn, turn && timed[turn.number][2][group]));
    const [mark, standing, silent, skipped] = state.groups[group] ?? ["on", "", "", ""];
    item.dataset.mark = mark;
    put(item.querySelector("[data-standing]"), standing);
    put(item.querySelector("[data-silent]"), silent);
    put(item.querySelector("[data-skipped]"), skipped);
  }
  put(find("as-of"), say("as of {time}", { time: state.at }));
}

function showSignals(turn, timed) {
  const round = endsRound(timed, now());
  const isGiven = withWaiting(state.signals, waiting, aheadS).some(
    ([what, of]) => what === "change" && of === round,
  );
  const change = document.querySelector("[data-signal=change]");
  if (!change) return;
  const isOpen = round !== null && !isGiven;
  change.disabled = !isOpen;
  document.querySelector("[data-signal=more]").disabled = !isOpen;
  const isAsked = isOpen && Date.now() < sureUntil;
  const minutes = turn ? Math.ceil((turn.until - now()) / 60) : 0;
  put(
    change,
    isAsked
      ? sayMany("{number} minute early: tap again", "{number} minutes early: tap again", minutes)
      : say("Everybody change"),
  );
}

function show() {
  const timed = rounds();
  const turn = turnAt(timed, now());
  put(find("turn-words"), turnWords(turn));
  put(find("turn-left"), turn ? left(turn.until - now()) : "");
  page.toggleAttribute("data-is-walk", Boolean(turn?.isWalk));
  if (find("change")) find("change").hidden = !turn?.isWalk || turn.number === 0;
  showSignals(turn, timed);
  showGroups(turn, timed);
}

function showStatus(isConnected) {
  const kept = waiting.length
    ? sayMany("{number} tap not sent yet", "{number} taps not sent yet", waiting.length)
    : "";
  put(find("status"), isConnected ? kept : `${say("No connection. The clock goes on.")} ${kept}`);
}

const keep = () => note(name, waiting.length ? JSON.stringify(waiting) : "");

const post = (marks) =>
  fetch(page.dataset.marks, {
    method: "POST",
    headers: { "content-type": "application/json", "x-csrftoken": token },
    body: JSON.stringify({ version: plan.version, marks, clock: new Date().toISOString() }),
  });

async function send() {
  if (isSending) return;
  isSending = true;
  try {
    const marks = page.dataset.marks ? [...waiting] : [];
    const answer = marks.length ? await post(marks) : await fetch(page.dataset.state);
    if (answer.redirected || !answer.ok) throw new Error(String(answer.status));
    const told = await answer.json();
    const had = new Set(marks.map(({ id }) => id)); // the server's word: had, or not to be had
    waiting = waiting.filter(({ id }) => !had.has(id));
    keep();
    if (told.version !== plan.version && !waiting.length) {
      location.reload(); // it was planned anew, or ended
      return;
    }
    if (told.version === plan.version) {
      state = told;
      aheadS = Date.now() / 1000 - told.now;
    }
    showStatus(true);
  } catch {
    showStatus(false); // what is kept stands there, the next turn tries again
  } finally {
    isSending = false;
  }
  show();
}

function take(mark) {
  waiting = [...waiting, { id: newId(), ...mark, marked_at: new Date().toISOString() }];
  keep();
  showStatus(true);
  show();
  send();
}

/** Whether a change waits for a second tap, as it does where it would come early. */
function isAskedAgain(what, timed) {
  const turn = turnAt(timed, now());
  const isEarly = what === "change" && turn && !turn.isWalk && turn.until - now() > SOON_S;
  if (!isEarly || Date.now() < sureUntil) {
    sureUntil = 0;
    return false;
  }
  sureUntil = Date.now() + SURE_MS;
  return true;
}

page.addEventListener("submit", (event) => {
  event.preventDefault();
  const { value: what } = event.submitter;
  const form = new FormData(event.target);
  const group = form.get("group");
  if (group !== null) {
    take({ what, group, station: form.get("station") });
    event.target.closest("details").open = false;
    return;
  }
  const timed = rounds();
  const round = endsRound(timed, now());
  if (round === null || isAskedAgain(what, timed)) show();
  else take({ what, round });
});

navigator.wakeLock?.request("screen").catch(() => {}); // where it is refused, the screen may sleep
show();
send();
setInterval(show, 500);
setInterval(() => document.hidden || send(), EVERY_MS);
window.addEventListener("online", send);
