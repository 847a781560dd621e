/**
 * Surveys a point with the phone that stands on it: takes positions, shows them settle, and keeps
 * the survey until the server has it.
 */
import { average } from "./average.js";
import { find } from "./dom.js";
import { newId } from "./new-id.js";
import { say, sayMany } from "./words.js";

const KEPT = "navclass-surveys";
const MOST_FIXES = 1200;
const MOST_DRAWN = 300;
const SVG = "http://www.w3.org/2000/svg";
const form = find("here");
const assumed = JSON.parse(document.getElementById("assumed").textContent);
const fixes = [];
let watch = null;
let own = ""; // the survey that this page has kept last

const metres = (value) =>
  value.toLocaleString(document.documentElement.lang, {
    maximumFractionDigits: value < 10 ? 1 : 0,
  });

/** What is wrong, and typing as the way on. */
function trouble(words) {
  find("trouble").textContent = words;
  find("trouble").hidden = false;
  find("typing").open = true;
}

/** No position: say why, and let it be tried again without losing what was typed. */
function without(error) {
  navigator.geolocation.clearWatch(watch);
  find("state").textContent = "";
  find("begin").textContent = say("Try again");
  find("begin").hidden = false;
  trouble((REASONS[error.code] ?? REASONS[2])());
}

const REASONS = {
  1: () =>
    say(
      "The phone may not tell its place here. Allow it in the browser's settings for this page and load the page again, or type the place below.",
    ),
  2: () =>
    say(
      "The phone does not know where it is. Step away from walls and trees, or type the place below.",
    ),
  3: () =>
    say("The phone has not found its place yet. Wait under open sky, or type the place below."),
};

function circle(x, y, r, name) {
  const made = document.createElementNS(SVG, "circle");
  for (const [key, value] of Object.entries({ cx: x, cy: y, r })) {
    made.setAttribute(key, value.toFixed(2));
  }
  made.setAttribute("class", name);
  return made;
}

/** The scatter of the positions round their mean, and how uncertain it is, to one scale. */
function draw({ offsets, accuracy }) {
  const reach = Math.max(accuracy, ...offsets.map(([east, north]) => Math.hypot(east, north)), 1);
  const dots = offsets
    .slice(-MOST_DRAWN)
    .map(([east, north]) => circle((100 * east) / reach, (-100 * north) / reach, 3, "dot"));
  const svg = find("scatter");
  svg.replaceChildren(
    circle(0, 0, (100 * accuracy) / reach, "ellipse"),
    ...dots,
    circle(0, 0, 4, "head-answer"),
  );
  svg.removeAttribute("hidden");
}

/** Shows how the mean of the positions settles. */
function showMean() {
  const number = sayMany("{number} position", "{number} positions", fixes.length);
  const mean = average(fixes, assumed);
  if (!mean) {
    find("detail").textContent = number;
    return;
  }
  draw(mean);
  find("state").textContent = say("± {metres} m", { metres: metres(mean.accuracy) });
  find("detail").textContent = [
    number,
    say("{seconds} s", { seconds: Math.round(mean.seconds) }),
    say("scatter {metres} m", { metres: metres(mean.scatter) }),
  ].join(", ");
  find("keep").hidden = false;
}

function takeFix({ coords, timestamp }) {
  find("trouble").hidden = true;
  if (!(coords.accuracy > 0) || fixes.length >= MOST_FIXES) return;
  fixes.push([coords.latitude, coords.longitude, coords.accuracy, timestamp, coords.altitude]);
  showMean();
}

function begin() {
  find("begin").hidden = true;
  find("state").textContent = say("Waiting for the first positions …");
  watch = navigator.geolocation.watchPosition(takeFix, (error) => fixes.length || without(error), {
    enableHighAccuracy: true,
    maximumAge: 0,
    timeout: 60000,
  });
}

const kept = () => JSON.parse(localStorage.getItem(KEPT) ?? "[]");
const keep = (all) =>
  all.length ? localStorage.setItem(KEPT, JSON.stringify(all)) : localStorage.removeItem(KEPT);

const drop = (survey) => keep(kept().filter(({ id }) => id !== survey.id));

/** What stands for an answer that is none: the point or the account of the survey is gone. */
const stuck = (status) => ({
  errors: {
    "": say(
      "A survey kept on this phone belongs to a point or an account that is not there ({status}). It stays on the phone until you set it aside.",
      { status },
    ),
  },
  stuck: true,
});

/** Sends a survey. Throws where there is no connection, or nobody is signed in. */
async function post({ to, fields }) {
  const body = new FormData();
  for (const [name, value] of fields) body.append(name, value);
  body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  const headers = { Accept: "application/json" };
  const response = await fetch(to, { method: "POST", body, headers });
  if (response.redirected || response.status >= 500) throw new Error("not now");
  return response.json().catch(() => stuck(response.status));
}

function offerToDiscard(survey) {
  find("discard").hidden = false;
  find("discard").onclick = () => {
    drop(survey);
    find("discard").hidden = true;
    send();
  };
}

function sayWaiting() {
  const left = kept().length;
  find("waiting").hidden = left === 0;
  find("waiting").textContent = sayMany(
    "{number} survey is kept on this phone and not sent yet. It is sent when this page has a connection.",
    "{number} surveys are kept on this phone and not sent yet. They are sent when this page has a connection.",
    left,
  );
}

/**
 * Sends what is kept. It leaves the phone only on the server's word; what the server refuses is
 * said and stays to be typed anew.
 */
async function send() {
  for (const survey of kept()) {
    let answer;
    try {
      answer = await post(survey);
    } catch {
      break; // the next turn tries again
    }
    if (!answer.stuck) drop(survey);
    if (answer.status === "stored") sayDone(answer, survey);
    else refused(answer.errors, survey);
    if (answer.stuck) offerToDiscard(survey);
  }
  sayWaiting();
}

/** Stored: what, and the ways on. */
function sayDone(answer, survey) {
  find("detail").textContent = answer.said;
  find("state").textContent = say("Stored.");
  find("surveys").href = answer.surveys;
  find("after").hidden = false;
  if (survey.id !== own) return; // an older one sent late: what is being done here goes on
  fixes.length = 0;
  form.reset();
  form.elements.client_id.value = newId();
  find("scatter").setAttribute("hidden", "");
  find("begin").hidden = false;
}

/**
 * The server cannot take it as it is: say what is wrong where it was typed, and keep the positions
 * for another try.
 */
function refused(errors, survey) {
  trouble(Object.values(errors).join(" "));
  if (survey.id !== own) return;
  find("keep").hidden = fixes.length < 2;
  const wrong = Object.keys(errors)
    .map((name) => form.elements[name])
    .find((field) => field?.type !== "hidden" && field?.focus);
  (wrong ?? find("trouble")).focus();
}

function keepThis() {
  if (!form.reportValidity()) return;
  if (watch !== null) navigator.geolocation.clearWatch(watch);
  own = form.elements.client_id.value;
  form.elements.fixes.value = JSON.stringify(fixes);
  const fields = [...new FormData(form)].filter(
    ([name]) => !["csrfmiddlewaretoken", "place"].includes(name),
  );
  try {
    keep([...kept(), { id: form.elements.client_id.value, to: location.pathname, fields }]);
  } catch {
    form.submit(); // nothing can be kept on this phone: send it as a page
    return;
  }
  find("keep").hidden = true;
  find("trouble").hidden = true;
  form.elements.fixes.value = "";
  send();
}

find("keep").addEventListener("click", keepThis);
find("begin").addEventListener("click", begin);
globalThis.addEventListener("online", send);
if (!globalThis.isSecureContext) {
  trouble(
    say(
      "This page came over plain http, and browsers tell a place over https only. Open it over https, or type the place below.",
    ),
  );
  find("safely").hidden = false;
} else if (!navigator.geolocation) trouble(say("This browser tells no place. Type it below."));
else find("begin").hidden = false;
if (kept().length) send();
