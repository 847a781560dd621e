/**
 * The participant's page: what the phone knows of its class, where the person is in it, and when to
 * send. It wires the parts together.
 */
import { readAloud } from "./aloud.js";
import { button, find, text } from "./dom.js";
import { showHandover } from "./handover-view.js";
import { recall, remember } from "./kept-class.js";
import { look } from "./look.js";
import { forget, isFragile, keep, newId, waiting } from "./outbox.js";
import { readingForm } from "./reading-form.js";
import { showOutcome } from "./result.js";
import { note, noted } from "./small-notes.js";
import { goOn, patience, send } from "./sync.js";
import { canReopen, linkWorker, renewPages } from "./worker-link.js";
import { language, say, sayMany } from "./words.js";

const REFRESH_MS = 15000;
const QR_AFTER_MS = 5000; // by then the worker is there, or never will be
const TAKEN = ["stored", "again"];
const code = decodeURIComponent(location.pathname.split("/")[2]).toUpperCase();
const page = {
  code,
  stamp: "",
  state: "",
  name: "",
  cautions: "",
  sheet: false,
  people: [],
  stations: [],
  tasks: [],
  sent: [],
  shown: [],
};
const sent = new Set(); // "person task" of readings that are kept here or there
const shown = new Map(); // "person task" to what the server says of it
let person = null;
let task = null;
let looking = null; // the reading whose result is on the screen
let unsent = 0;
let cameBack = false;
let refreshing = null; // the refresh that is on its way
let changes = 0; // readings kept or sent: what the server told before one of them is out of date
let isKnown = false; // whether anything was told of the class, now or before
// the same class in another tab
const others = globalThis.BroadcastChannel ? new BroadcastChannel("navclass") : null;
const draft = (label) => `typed ${code} ${person} ${label}`;
const keyOf = (one) => `${one.person} ${one.task}`;
const isShowing = (view) => !document.querySelector(`[data-view=${view}]`).hidden;

const form = readingForm({
  onTyped: (typed) => note(draft(task.label), typed),
  missing: () => before(),
  onAnswer: async ({ text: typed, mils }) => {
    const reading = {
      id: newId(),
      code,
      person,
      task: task.label,
      text: typed,
      mils,
      measured_at: new Date().toISOString(),
    };
    await keep(reading);
    note(draft(reading.task), "");
    changes += 1;
    sent.add(keyOf(reading));
    shown.delete(keyOf(reading));
    navigator.storage?.persist?.();
    showResult(keyOf(reading), typed);
    await deliver();
    others?.postMessage("kept");
  },
});

/** The label of the task with whose number this one goes on, while the person has not given it. */
function before() {
  return task.after &&
    page.tasks.some(({ label }) => label === task.after) &&
    !sent.has(`${person} ${task.after}`)
    ? task.after
    : "";
}

function status(words) {
  if (find("status").textContent !== words) find("status").textContent = words;
}

/** Takes over what the server told, or what was kept of it. */
function apply(told) {
  Object.assign(page, told);
  isKnown = true;
  sent.clear();
  shown.clear();
  for (const [who, label] of page.sent) sent.add(`${who} ${label}`);
  for (const one of page.shown) shown.set(keyOf(one), one);
  if (!page.people.some(({ id }) => id === person)) person = page.people[0]?.id ?? null;
  document.title = `${page.name} · navclass`;
}

async function markKept() {
  const kept = await waiting(code);
  for (const one of kept) {
    sent.add(keyOf(one));
    shown.delete(keyOf(one)); // what was said of an earlier try does not answer this one
  }
  unsent = kept.length;
  return kept;
}

/** Sends what waits, and always says the state. */
async function deliver() {
  const { outcomes, shown: news, trouble } = await send(code);
  for (const one of news) shown.set(keyOf(one), one);
  if (outcomes.length) {
    changes += 1;
    await rememberSent(outcomes);
  }
  const kept = await markKept();
  const refused = outcomes.filter(({ status: word }) => word === "refused" || word === "conflict");
  if (outcomes.length) showTroubles(kept, refused);
  for (const outcome of outcomes) if (outcome.task && !outcome.graded) sent.delete(keyOf(outcome));
  const left = kept.length - refused.length;
  const told = outcomes.find(
    ({ status: word, message }) => word !== "refused" && word !== "conflict" && message,
  );
  if (left > 0)
    status(
      `${isFragile() ? sayMany("One reading on this page, not sent yet.", "{number} readings on this page, not sent yet.", left) : sayMany("One reading kept on this phone, not sent yet.", "{number} readings kept on this phone, not sent yet.", left)} ${trouble}`,
    );
  else if (told) status(told.message);
  else if (refused.length)
    status(
      sayMany(
        "One reading not taken: see the list of stations.",
        "{number} readings not taken: see the list of stations.",
        refused.length,
      ),
    );
  else if (sent.size) status(say("All readings sent."));
  else status("");
  if (looking && shown.has(looking.key) && isShowing("result"))
    showResult(looking.key, looking.typed);
  showNotes();
  if (
    outcomes.some(
      ({ id, status: word }) => TAKEN.includes(word) && !kept.some((one) => one.id === id),
    )
  )
    others?.postMessage("sent");
}

/**
 * Notes what the server has taken, so that a page opened later without the network knows it as
 * well.
 */
async function rememberSent(outcomes) {
  for (const { person: who, task: label, graded } of outcomes)
    if (graded) page.sent.push([who, label]);
  page.shown = [...shown.values()];
  await remember(page);
}

/** Readings that the server will not take: each with the reason, until the person sets it aside. */
function showTroubles(kept, refused) {
  find("troubles").replaceChildren(
    ...refused.map(({ id, message }) => {
      const reading = kept.find((one) => one.id === id);
      const item = document.createElement("li");
      const name = page.people.find((one) => one.id === reading?.person)?.name ?? "";
      if (reading) sent.delete(keyOf(reading));
      const aside = button(
        say("Set aside"),
        async () => {
          await forget(id);
          item.remove();
          await deliver();
        },
        { className: "quiet" },
      );
      item.append(
        text(
          "strong",
          say("{name}, task {task}: {text}.", { name, task: reading?.task, text: reading?.text }),
        ),
        " ",
        message,
        " ",
        aside,
      );
      return item;
    }),
  );
}

/**
 * What the person should know of this phone: whether the page may be closed, and whether readings
 * are safe.
 */
function showNotes() {
  find("fragile").hidden = !isFragile();
  find("reopens").hidden = !canReopen();
  find("stays-open").hidden = canReopen();
  find("to-handover").hidden = !unsent;
}

function go(view) {
  for (const section of document.querySelectorAll("[data-view]"))
    section.hidden = section.dataset.view !== view;
  find("back").hidden = view === "list" || view === "wait";
  find("task-label").hidden = view !== "task";
  window.scrollTo(0, 0);
}

const isDone = (who, label) => sent.has(`${who} ${label}`) && !shown.get(`${who} ${label}`)?.hint;

function doneText(labels) {
  const done = labels.filter((label) => page.people.every(({ id }) => isDone(id, label))).length;
  return done === labels.length
    ? say("✓ done")
    : say("{done} of {number}", { done, number: labels.length });
}

function row(sign, name, done, act) {
  const item = document.createElement("li");
  const made = button("", act);
  made.append(
    text("span", sign, "station-code"),
    text("span", name, "grow"),
    text("span", done, "done"),
  );
  item.append(made);
  return item;
}

/**
 * Whether a task is asked at a station; what a phone kept before tasks could be asked at several
 * marks has the one.
 */
const isAt = (code) => (one) => (one.at ?? [one.station]).includes(code);

const stationRow = (station) =>
  row(
    station.code,
    station.name,
    doneText(page.tasks.filter(isAt(station.code)).map(({ label }) => label)),
    () => {
      location.hash = station.code;
    },
  );

/**
 * After a class the phone holds nothing but the person's own results: these stand where the
 * stations were.
 */
const resultRow = (one) =>
  row(
    one.task,
    page.people.find(({ id }) => id === one.person)?.name ?? "",
    one.credit ?? "",
    () => {
      person = one.person;
      task = { label: one.task, station: "", policy: "" };
      showResult(keyOf(one), "");
    },
  );

function showList() {
  looking = null;
  const isKept = page.state === "closed" && !page.tasks.length;
  find("class-name").textContent = page.name;
  find("who").textContent = say("This phone writes for {names}.", {
    names: page.people.map(({ name }) => name).join(", "),
  });
  find("cautions").textContent =
    page.cautions || say("Stay where your instructor can see you. Stand still to read.");
  find("before").hidden = isKept;
  find("sheet").hidden = !page.sheet;
  find("waiting").hidden = page.state !== "draft";
  find("over").hidden = page.state !== "closed";
  find("stations").replaceChildren(
    ...(isKept
      ? page.shown.filter(({ credit }) => credit).map(resultRow)
      : page.stations.map(stationRow)),
  );
  find("codes").replaceChildren(
    ...page.people
      .filter((one) => one.code)
      .map((one) => {
        const item = text("li", `${one.name}: `);
        item.append(text("strong", one.code.replace(/^(...)/, "$1 "), "personal-code"));
        return item;
      }),
  );
  const pace = page.people[0]?.pace_m;
  find("pace-link").hidden = !page.tasks.some((one) => one.legs);
  find("pace-link").textContent = pace
    ? say("{paces} double paces in 100 m: count again", { paces: Math.round(100 / pace) })
    : say("Count your paces");
  find("if-it-dies").hidden = !find("codes").children.length;
  showNotes();
  go("list");
}

function showStation(station) {
  looking = null;
  find("station-code").textContent = station.code;
  find("station-name").textContent = station.name;
  find("station-mark").textContent = station.mark;
  find("tasks").replaceChildren(
    ...page.tasks.filter(isAt(station.code)).map((one) =>
      row(one.label, one.prompt, doneText([one.label]), () => {
        location.hash = `${station.code}/${one.label}`;
      }),
    ),
  );
  go("station");
}

function showPeople() {
  for (const group of document.querySelectorAll("[data-people]")) {
    group.hidden = page.people.length < 2;
    group.replaceChildren(
      ...page.people.map(({ id, name }) => {
        const made = button(name + (isDone(id, task.label) ? " ✓" : ""), () => {
          person = id;
          showTaskOrResult();
        });
        made.setAttribute("aria-pressed", String(id === person));
        return made;
      }),
    );
  }
}

/** The result of the chosen person where there is one to see or to wait for, else the question. */
function showTaskOrResult() {
  const key = `${person} ${task.label}`;
  if (shown.has(key) || sent.has(key)) showResult(key, "");
  else showTask();
}

function showTask() {
  const station = page.stations.find((one) => one.code === task.station);
  if (!station) {
    // dropped meanwhile, or nothing but results is kept of a class that is over
    showList();
    return;
  }
  looking = null;
  const hint =
    shown.get(`${person} ${task.label}`)?.hint ??
    (before()
      ? say("First do task {task}: this one goes on with your number.", { task: before() })
      : "");
  find("hint-again").textContent = hint;
  find("hint-again").hidden = !hint;
  find("task-label").textContent = say("{station}, task {task}", {
    station: task.station,
    task: task.label,
  });
  find("ask").textContent = task.prompt;
  find("stand-mark").textContent = task.marks ? task.marks.join("; ") : station.mark;
  find("stand").hidden = !task.needle;
  find("away").hidden = !task.needle || Boolean(task.legs) || Boolean(hint);
  form.show(task, noted(draft(task.label)));
  showWalk();
  showPeople();
  go("task");
}

/**
 * The legs of a walk, each with the person's own double paces where these were counted over a taped
 * line.
 */
function showWalk() {
  const pace = page.people.find(({ id }) => id === person)?.pace_m;
  find("walk").hidden = !task.legs;
  find("legs").replaceChildren(
    ...(task.legs ?? []).map((leg) =>
      text(
        "li",
        pace
          ? say("{leg}: {paces} of your double paces", {
              leg: leg.text,
              paces: Math.round(leg.metres / pace),
            })
          : leg.text,
      ),
    ),
  );
  find("paces").textContent = pace
    ? say("Count your paces again")
    : say("Count your paces over a taped line first");
  find("paces").href = `/c/${code}/pace/?to=${encodeURIComponent(`${task.station}/${task.label}`)}`;
}

function showResult(key, typed) {
  looking = { key, typed };
  showPeople();
  const kind = showOutcome({
    feedback: shown.get(key),
    task,
    typed,
    othersAreMissing: page.people.some(({ id }) => !sent.has(`${id} ${task.label}`)),
    then:
      task.policy !== "released" && task.then && !sent.has(`${person} ${task.then}`)
        ? task.then
        : "",
  });
  find("again").hidden = kind !== "hint";
  find("another").hidden = kind !== "kept" || task.policy !== "released";
  find("next").className = kind === "hint" ? "button button-quiet wide" : "button wide";
  const before = document.activeElement;
  go("result");
  if (!before?.closest("[data-view=result]")) find("result-title").focus();
}

async function showHandoverView() {
  looking = null;
  go("handover");
  await showHandover(code, await waiting(code), page.people);
}

/**
 * From the result on to the next person at this task, the next task at this station, or the list.
 */
function next() {
  const other = page.people.find(({ id }) => !sent.has(`${id} ${task.label}`));
  if (other && page.tasks.some(({ label }) => label === task.label)) {
    person = other.id;
    showTaskOrResult();
    return;
  }
  const open = page.tasks
    .filter((one) => one.station === task.station)
    .find(({ label }) => page.people.some(({ id }) => !sent.has(`${id} ${label}`)));
  location.hash = open ? `${task.station}/${open.label}` : "";
  if (!open) showList();
}

/** Where the address points: a station, and a task. */
function placed() {
  try {
    return decodeURIComponent(location.hash.slice(1)).split("/");
  } catch {
    return [""]; // an address that somebody spoilt
  }
}

function route() {
  const [where, label] = placed();
  const known = page.tasks.find((one) => one.label === label && isAt(where)(one));
  const station = page.stations.find((one) => one.code === where);
  if (where === "hand-over") showHandoverView();
  else if (known) {
    task = known;
    const open = page.people.find(({ id }) => !sent.has(`${id} ${label}`));
    // who shares the phone and has not read yet comes first
    if (open && sent.has(`${person} ${label}`)) person = open.id;
    showTaskOrResult();
  } else if (station) showStation(station);
  else showList();
}

/**
 * Asks once with the personal codes: wrong ones are counted, and a phone that refuses cookies would
 * ask for ever.
 */
async function triedToGoOn() {
  try {
    cameBack = true;
    return await goOn(code, page.people.map((one) => one.code).filter(Boolean));
  } catch {
    cameBack = false; // no connection: that was no answer
    return false;
  }
}

/**
 * The class does not know this phone: its cookie is lost, as when the battery died soon after
 * joining. The personal codes bring it back.
 */
async function comeBack() {
  if (!page.people.length && !unsent) location.replace(code ? `/c/${code}/join/` : "/");
  else if (!cameBack && (await triedToGoOn())) await refreshNow();
  else
    status(
      say(
        "The class does not know this phone any more. Go on with your personal code; your readings stay here.",
      ),
    );
}

const ask = (what) => fetch(`/c/${code}/state/${what}`, { signal: patience(REFRESH_MS) });

/**
 * Asks whether anything is new (the class has opened, feedback has come, the key was corrected),
 * and sends what waits.
 */
function refresh(asked = null) {
  refreshing ??= refreshNow(asked).finally(() => {
    refreshing = null;
  });
  return refreshing;
}

async function refreshNow(asked = null) {
  const early = changes;
  await deliver();
  const before = changes;
  let answer;
  let told;
  try {
    answer = await (asked && before === early
      ? asked
      : ask(page.stamp ? `?have=${page.stamp}` : ""));
    told = answer.status === 200 ? await answer.json() : null;
  } catch {
    if (isKnown)
      status(
        find("status").textContent || say("No connection. Go on: readings are kept on this phone."),
      );
    else find("nothing-known").hidden = false;
    return;
  }
  if (answer.status === 403 || answer.status === 404) await comeBack();
  if (!told || changes !== before) return; // the next turn asks again
  const wasAsked = task?.prompt;
  apply(told);
  if (task) task = page.tasks.find(({ label }) => label === task.label) ?? task;
  // the paces may have been counted since the phone kept the class
  if (isShowing("task")) showWalk();
  await markKept();
  await remember(told);
  if (
    told.language !== language &&
    canReopen() &&
    !isFragile() &&
    noted("renewed for") !== told.language
  ) {
    // once: where renewing fails, the page must not reload for ever
    note("renewed for", told.language);
    if (await renewPages()) {
      location.reload(); // a half-typed number is noted, and stays
      return;
    }
  }
  if (told.language === language) note("renewed for", "");
  if (looking && isShowing("result")) showResult(looking.key, looking.typed);
  else if (isShowing("task") && page.tasks.includes(task) && task.prompt !== wasAsked)
    showTask(); // in another language now
  else if (
    !isShowing("task") ||
    !page.tasks.includes(task) ||
    (!form.isBusy() && shown.get(`${person} ${task.label}`)?.credit)
  )
    route();
}

function listen() {
  find("back").addEventListener("click", () => {
    location.hash = "";
    showList();
  });
  find("next").addEventListener("click", next);
  for (const name of ["again", "another"]) find(name).addEventListener("click", showTask);
  readAloud(
    find("aloud"),
    () => `${find("ask").textContent} ${find("stand").hidden ? "" : find("stand").textContent}`,
  );
  window.addEventListener("hashchange", route);
  window.addEventListener("online", () => refresh());
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) refresh();
  });
  window.addEventListener("beforeunload", (event) => {
    if (!unsent || (canReopen() && !isFragile())) return;
    event.preventDefault();
    event.returnValue = "unsent"; // what browsers before 2023 look at
  });
  others?.addEventListener("message", async () => {
    await markKept();
    if (isShowing("list") || isShowing("station")) route();
    await refresh();
  });
  setInterval(() => refresh(), REFRESH_MS);
}

const asked = ask(""); // at once: the phone's database takes its time as well
asked.catch(() => {}); // it is awaited below
for (const link of document.querySelectorAll("[data-to]"))
  link.href = `/c/${code}/${link.dataset.to}`;
look();
listen();
const kept = await recall(code);
if (kept) {
  apply(kept);
  await markKept();
  route();
}
await refresh(asked);
linkWorker({
  // not before the class is on the screen: the worker fetches pages that are not needed yet
  isBusy: () => isFragile() || (isShowing("task") && form.isBusy()),
  onReady: showNotes,
  onNews: (use) => {
    find("news").hidden = false;
    find("use-news").onclick = use;
  },
});
setTimeout(
  () => {
    if (!canReopen()) import(document.body.dataset.qr).catch(() => {});
  },
  navigator.serviceWorker ? QR_AFTER_MS : 0,
); // it could not be fetched later, when it is wanted
