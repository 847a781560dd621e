/** The participant's page: wires the views, the form, the outbox and the sending together. */
import { forget, keep, newId, waiting } from "./outbox.js";
import { readingForm } from "./reading-form.js";
import { patience, send } from "./sync.js";

const REFRESH_MS = 15000;
const find = (name) => document.querySelector(`[data-${name}]`);
const page = JSON.parse(document.getElementById("class-page").textContent);
const csrf = () => document.querySelector("[name=csrfmiddlewaretoken]").value;
const sent = new Set(page.sent.map(([person, task]) => `${person} ${task}`));
const shown = new Map(page.shown.map((one) => [keyOf(one), one]));
let person = page.people[0].id;
let task = null;
const halfTyped = (label) => `navclass ${page.code} ${person} ${label}`;

let looking = null; // the reading whose result is on the screen

const form = readingForm(async ({ text, mils }) => {
  const reading = { id: newId(), code: page.code, person, task: task.label, text, mils, measured_at: new Date().toISOString() };
  try {
    await keep(reading);
  } catch {
    status(`This phone could not keep the reading. Write it on paper: task ${task.label}, ${text}.`);
    form.ready();
    return;
  }
  sessionStorage.removeItem(halfTyped(reading.task));
  sent.add(keyOf(reading));
  showResult(keyOf(reading), text);
  await deliver();
});

function keyOf(one) {
  return `${one.person} ${one.task}`;
}

function text(tag, content, className = "") {
  const made = document.createElement(tag);
  made.textContent = content;
  if (className) made.className = className;
  return made;
}

function status(words) {
  find("status").textContent = words;
}

/** Sends what waits, and always says the state. */
async function deliver() {
  const { outcomes, shown: news, trouble } = await send(page.code, csrf());
  for (const one of news) shown.set(keyOf(one), one);
  const kept = await waiting(page.code);
  const refused = outcomes.filter(({ status: word }) => word === "refused" || word === "conflict");
  if (outcomes.length) showTroubles(kept, refused);
  for (const outcome of outcomes) if (outcome.task && !outcome.graded) sent.delete(keyOf(outcome));
  const left = kept.length - refused.length;
  const told = outcomes.find(({ status: word, message }) => word !== "refused" && word !== "conflict" && message !== "Kept.");
  if (left > 0) status(`${left} ${left === 1 ? "reading" : "readings"} kept on this phone, not sent yet. ${trouble}`);
  else if (told) status(told.message);
  else if (refused.length) status(`${refused.length} not taken: see the list of stations.`);
  else if (sent.size) status("All readings sent.");
  else status("");
  if (looking && shown.has(looking.key) && !document.querySelector("[data-view=result]").hidden) showResult(looking.key, looking.typed);
}

/** Readings that the server will not take: each with the reason, until the person sets it aside. */
function showTroubles(kept, refused) {
  find("troubles").replaceChildren(...refused.map(({ id, message }) => {
    const reading = kept.find((one) => one.id === id);
    const item = document.createElement("li");
    const name = page.people.find((one) => one.id === reading?.person)?.name ?? "";
    const aside = text("button", "Set aside", "quiet");
    if (reading) sent.delete(keyOf(reading));
    aside.addEventListener("click", async () => { await forget(id); item.remove(); await deliver(); });
    item.append(text("strong", `${name}, task ${reading?.task}: ${reading?.text}. `), message, " ", aside);
    return item;
  }));
}

function go(view) {
  for (const section of document.querySelectorAll("[data-view]")) section.hidden = section.dataset.view !== view;
  find("back").hidden = view === "list";
  find("task-label").hidden = view !== "task";
  window.scrollTo(0, 0);
}

function doneText(labels) {
  const done = labels.filter((label) => page.people.every(({ id }) => sent.has(`${id} ${label}`))).length;
  return done === labels.length ? "✓ all sent" : `${done} of ${labels.length}`;
}

function row(code, name, done, act) {
  const item = document.createElement("li");
  const made = document.createElement("button");
  made.append(text("span", code, "station-code"), text("span", name, "grow"), text("span", done, "done"));
  made.addEventListener("click", act);
  item.append(made);
  return item;
}

function showList() {
  find("who").textContent = `This phone writes for ${page.people.map(({ name }) => name).join(", ")}.`;
  find("sheet").hidden = !page.sheet;
  find("waiting").hidden = page.state !== "draft";
  find("stations").replaceChildren(...page.stations.map((station) => row(
    station.code, station.name, doneText(page.tasks.filter((one) => one.station === station.code).map(({ label }) => label)), () => { location.hash = station.code; })));
  go("list");
}

function showStation(code) {
  const station = page.stations.find((one) => one.code === code);
  find("station-code").textContent = station.code;
  find("station-name").textContent = station.name;
  find("station-mark").textContent = station.mark;
  find("tasks").replaceChildren(...page.tasks.filter((one) => one.station === code).map((one) => row(
    one.label, one.prompt, doneText([one.label]), () => { location.hash = `${code}/${one.label}`; })));
  go("station");
}

function showPeople() {
  for (const row of document.querySelectorAll("[data-people]")) {
    row.hidden = page.people.length < 2;
    row.replaceChildren(...page.people.map(({ id, name }) => {
      const made = text("button", name + (sent.has(`${id} ${task.label}`) ? " ✓" : ""));
      made.type = "button";
      made.setAttribute("aria-pressed", String(id === person));
      made.addEventListener("click", () => { person = id; showTaskOrResult(); });
      return made;
    }));
  }
}

/** The result of the chosen person where there is one to see, else the question. */
function showTaskOrResult() {
  const key = `${person} ${task.label}`;
  if (shown.has(key)) showResult(key, "");
  else showTask(task.label);
}

function showTask(label) {
  task = page.tasks.find((one) => one.label === label);
  find("task-label").textContent = `${task.station}, task ${task.label}`;
  find("ask").textContent = task.prompt;
  find("stand").replaceChildren(text("strong", "Stand here: "), page.stations.find((one) => one.code === task.station).mark);
  find("stand").hidden = find("away").hidden = !task.needle;
  form.show(task, sessionStorage.getItem(halfTyped(label)) ?? "");
  showPeople();
  go("task");
}

function drawn(svg) {
  return document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
}

function showResult(key, typed) {
  const feedback = shown.get(key);
  looking = { key, typed };
  showPeople();
  const others = page.people.some(({ id }) => !sent.has(`${id} ${task.label}`));
  find("result-title").textContent = feedback ? feedback.credit : "Kept";
  if (feedback) {
    const outcome = document.createElement("dl");
    outcome.className = "outcome";
    for (const [name, value, look] of [["You read", feedback.reading, "you"], ["The answer", feedback.answer, "right"]]) {
      const group = document.createElement("div");
      group.append(text("dt", name), text("dd", value, look));
      outcome.append(group);
    }
    find("result").replaceChildren(
      ...(feedback.attempt > 1 && page.feedback === "at_once" ? [text("p", "The first attempt counts; this one is practice.", "dim")] : []),
      outcome, drawn(feedback.dial), text("p", feedback.error, "dim"), text("p", feedback.cause, "lead"), text("p", feedback.advice));
  } else {
    find("result").replaceChildren(text("p", `Task ${task.label}: ${typed}.`), text("p", page.feedback !== "at_once" ? "You will see how it went when your instructor says."
      : others ? "You will see how it went when everybody on this phone has read it." : "You will see how it went as soon as it is sent."));
  }
  const before = document.activeElement;
  go("result");
  if (!before?.closest("[data-view=result]")) find("result-title").focus();
}

/** From the result on to the next person at this task, the next task at this station, or the list. */
function next() {
  const other = page.people.find(({ id }) => !sent.has(`${id} ${task.label}`));
  if (other) {
    person = other.id;
    showTaskOrResult();
    return;
  }
  const here = page.tasks.filter((one) => one.station === task.station);
  const open = here.find(({ label }) => page.people.some(({ id }) => !sent.has(`${id} ${label}`)));
  location.hash = open ? `${task.station}/${open.label}` : "";
  if (!open) showList();
}

function route() {
  const [code, label] = decodeURIComponent(location.hash.slice(1)).split("/");
  const known = page.tasks.find((one) => one.label === label && one.station === code);
  if (known) {
    task = known;
    if (!page.people.some(({ id }) => id === person)) person = page.people[0].id;
    showTaskOrResult();
  } else if (page.stations.some((one) => one.code === code)) showStation(code);
  else showList();
}

/** Asks whether anything is new (the class has opened, feedback has come, the key was corrected), and sends what waits. */
async function refresh() {
  await deliver();
  try {
    const answer = await fetch(`/c/${page.code}/state/?have=${page.stamp}`, { signal: patience(REFRESH_MS) });
    if (!answer.ok || answer.status === 204) return;
    Object.assign(page, await answer.json());
    shown.clear();
    for (const one of page.shown) shown.set(keyOf(one), one);
    const isTyping = !document.querySelector("[data-view=task]").hidden;
    if (looking && !document.querySelector("[data-view=result]").hidden) showResult(looking.key, looking.typed);
    else if (!isTyping || !page.tasks.some(({ label }) => label === task.label)) route();
  } catch {
    status(find("status").textContent || "No connection. Go on: readings are kept on this phone.");
  }
}

find("reading").addEventListener("input", () => sessionStorage.setItem(halfTyped(task.label), form.typed()));
find("pad").addEventListener("click", () => sessionStorage.setItem(halfTyped(task.label), form.typed()));
find("back").addEventListener("click", () => { location.hash = ""; showList(); });
find("next").addEventListener("click", next);
window.addEventListener("hashchange", route);
window.addEventListener("online", refresh);
document.addEventListener("visibilitychange", () => { if (!document.hidden) refresh(); });
setInterval(refresh, REFRESH_MS);
for (const one of await waiting(page.code)) sent.add(keyOf(one));
route();
await refresh();
