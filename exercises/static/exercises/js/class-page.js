/** The participant's page. It wires the state, the rules of what comes next, and the views. */
import { readAloud } from "./aloud.js";
import { atHomeView } from "./at-home-view.js";
import { askState, classNews } from "./class-news.js";
import {
  apply,
  draftName,
  isReply,
  keyNow,
  keyOf,
  markGiven,
  newState,
  saidTo,
} from "./class-state.js";
import { delivery, readWaiting } from "./delivery.js";
import { find } from "./dom.js";
import { sayHeard, tellHeard } from "./heard.js";
import { showHandover } from "./handover-view.js";
import { recall, remember } from "./kept-class.js";
import { showList, showNotes } from "./list-view.js";
import { look } from "./look.js";
import { newId } from "./new-id.js";
import {
  afterRefresh,
  afterResult,
  canBeAsked,
  hasResult,
  leadsTo,
  readAddress,
  waitsFor,
} from "./next-step.js";
import { isFragile, keep, waiting } from "./outbox.js";
import { showPeople } from "./people-choice.js";
import { readingForm } from "./reading-form.js";
import { showResult } from "./result-view.js";
import { note, noted } from "./small-notes.js";
import { showStation } from "./station-view.js";
import { showTask, showWalk } from "./task-view.js";
import { arrive, showTurn } from "./turn-line.js";
import { go, viewNow } from "./views.js";
import { language } from "./words.js";
import { canReopen, linkWorker, renewPages } from "./worker-link.js";

const REFRESH_MS = 15000;
const QR_AFTER_MS = 5000; // by then the worker is there, or never will be
const code = decodeURIComponent(location.pathname.split("/")[2]).toUpperCase();
const state = newState(code);
// the same class in another tab
const tabs = globalThis.BroadcastChannel ? new BroadcastChannel("navclass") : null;

const form = readingForm({
  onTyped: (typed) => note(draftName(state, state.task.label), typed),
  missing: () => waitsFor(state),
  onAnswer: take,
});
const atHome = atHomeView(state);
const deliver = delivery(state, {
  onDelivered() {
    atHome.send();
    // also without a result: what one waits for may have become another person's second try
    if (state.looking && viewNow() === "result") showLooking();
  },
  tellTabs: () => tabs?.postMessage("sent"),
});
const refresh = classNews(state, { deliver, onNews });

/** Keeps an answer that the person stands by, shows that it is kept, and sends it. */
async function take({ text, mils, unit }) {
  const { person, task } = state;
  const reading = {
    id: newId(),
    code,
    person,
    task: task.label,
    text,
    mils,
    unit,
    measured_at: new Date().toISOString(),
  };
  await keep(reading);
  note(draftName(state, reading.task), "");
  state.changes += 1;
  markGiven(state, reading);
  navigator.storage?.persist?.();
  openResult(keyOf(reading), text);
  await deliver();
  tabs?.postMessage("kept");
}

/** Keeps what is said about a reading, goes on once it is kept, and sends it. */
async function tell(about, said) {
  state.changes += 1;
  await keep({ id: newId(), code, about, ...said, measured_at: new Date().toISOString() });
  showLooking();
  await deliver();
}

/** A reply to the question about a reading. */
function reply({ about, code: question }, said) {
  state.replied.add(about);
  return tell(about, { question, said });
}

/** What truly happened. */
function label(about, cause) {
  state.labelled.set(about, cause);
  return tell(about, { cause });
}

function openList() {
  state.looking = null;
  showList(state, (feedback) => {
    state.person = feedback.person;
    state.task = { label: feedback.task, station: "", policy: "" };
    openResult(keyOf(feedback), "");
  });
  atHome.show();
}

function openStation(station) {
  state.looking = null;
  showStation(state, station);
}

function openTask() {
  if (!canBeAsked(state)) {
    openList();
    return;
  }
  state.looking = null;
  showPeople(state, openFor);
  showTask(state, form);
}

/** The result of a reading; `typed` is the answer that was sent a moment ago, else "". */
function openResult(key, typed) {
  state.looking = { key, typed };
  showLooking();
}

function showLooking() {
  showPeople(state, openFor);
  showResult(state, { reply, label });
}

/** The result of the chosen person where there is one to see or to wait for, else the question. */
function openFor(person) {
  state.person = person;
  if (hasResult(state)) openResult(keyNow(state), "");
  else openTask();
}

async function openHandover() {
  state.looking = null;
  go("handover");
  const readings = (await waiting(code)).filter((item) => !isReply(item));
  await showHandover(code, readings, state.courseClass.people);
}

function openNext() {
  const { person, address } = afterResult(state);
  if (address === undefined) {
    openFor(person);
    return;
  }
  location.hash = address;
  if (!address) openList();
}

/** Shows what the address names. */
function route() {
  const { view, task, person, station } = leadsTo(state, location.hash);
  if (view === "handover") openHandover();
  else if (view === "task") {
    state.task = task;
    openFor(person);
  } else if (view === "station") openStation(station);
  else openList();
  showTurn(state);
}

function takeOver(courseClass) {
  apply(state, courseClass);
  document.title = `${state.courseClass.name} · navclass`;
}

/** Fetches the page in the language that the person has chosen; whether it is being loaded anew. */
async function isRenewed(wanted) {
  if (wanted === language) note("renewed for", "");
  else if (canReopen() && !isFragile() && noted("renewed for") !== wanted) {
    note("renewed for", wanted); // once: where renewing fails, the page must not reload for ever
    if (await renewPages()) {
      location.reload(); // a half-typed number is noted, and stays
      return true;
    }
  }
  return false;
}

async function onNews(courseClass) {
  const wasAsked = state.task && saidTo(state).prompt;
  takeOver(courseClass);
  await readWaiting(state);
  if (viewNow() === "task") {
    showWalk(state); // the paces may have been counted meanwhile
    showPeople(state, openFor); // somebody may have joined on this phone
  }
  await remember(courseClass);
  if (await isRenewed(courseClass.language)) return;
  const screen = { view: viewNow(), isBusy: form.isBusy(), wasAsked };
  const step = afterRefresh(state, screen);
  if (step === "result") showLooking();
  else if (step === "task") openTask();
  else if (step === "address") route();
  showTurn(state);
}

/** Whether readings would be lost with the page. */
const isAtRisk = () => state.unsent > 0 && (!canReopen() || isFragile());

function listenToPerson() {
  find("back").addEventListener("click", () => {
    location.hash = "";
    openList();
  });
  find("next").addEventListener("click", openNext);
  find("heard").addEventListener("click", async () => {
    const { cautions, safety = "" } = state.courseClass;
    const told = sayHeard(code, cautions + safety);
    openList();
    await told;
  });
  for (const name of ["again", "another"]) find(name).addEventListener("click", openTask);
  readAloud(find("aloud"), () => {
    const stand = find("stand").hidden ? "" : find("stand").textContent;
    const said = [find("ask").textContent, find("angle").textContent, stand];
    return said.filter(Boolean).join(" ");
  });
  window.addEventListener("hashchange", () => {
    arrive(state, readAddress(location.hash)[0]);
    route();
  });
}

function listenToWorld() {
  window.addEventListener("online", () => refresh());
  window.addEventListener("online", () => tellHeard(code));
  tellHeard(code);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) refresh();
  });
  window.addEventListener("beforeunload", (event) => {
    if (!isAtRisk()) return;
    event.preventDefault();
    event.returnValue = "unsent"; // what browsers before 2023 look at
  });
  tabs?.addEventListener("message", async () => {
    await readWaiting(state);
    if (["list", "station"].includes(viewNow())) route();
    await refresh();
  });
  setInterval(() => {
    showTurn(state);
    refresh();
  }, REFRESH_MS);
}

/** The QR library could not be fetched later, when it is wanted. */
function fetchQr() {
  if (!canReopen()) import(document.body.dataset.qr).catch(() => {});
}

const asked = askState(code); // at once: the phone's database takes its time as well
asked.catch(() => {}); // it is awaited below
for (const link of document.querySelectorAll("[data-to]")) {
  link.href = `/c/${code}/${link.dataset.to}`;
}
look();
listenToPerson();
listenToWorld();
const kept = await recall(code);
if (kept) {
  takeOver(kept);
  await readWaiting(state);
  route();
}
await refresh(asked);
// not before the class is on the screen: the worker fetches pages that are not needed yet
linkWorker({
  isBusy: () => isFragile() || (viewNow() === "task" && form.isBusy()),
  onReady: () => showNotes(state),
  onNews: (use) => {
    find("news").hidden = false;
    find("use-news").onclick = use;
  },
});
setTimeout(fetchQr, navigator.serviceWorker ? QR_AFTER_MS : 0);
