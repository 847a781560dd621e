/**
 * Watching a class that is out: the changing part is fetched again and again; what is seen to or
 * noted is kept on this phone until the server has it. Without a signal the page goes on showing
 * what it knew, and says since when.
 */
import { find } from "./dom.js";
import { asAct, seenTo } from "./live-acts.js";
import { newId } from "./new-id.js";
import { noted, note } from "./small-notes.js";
import { patience } from "./sync.js";
import { say, sayMany } from "./words.js";

const EVERY_MS = 5000;
const PATIENCE_MS = 15000;
const page = find("live");
const name = `live-${page.dataset.live}`;
const token = document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
let waiting = JSON.parse(noted(name) || "[]"); // what was done here and the server does not have yet
let lostAt = null; // since when nothing was heard from the server
let isAsking = false;

const keep = () => note(name, waiting.length ? JSON.stringify(waiting) : "");
const clockText = (date) => date.toTimeString().slice(0, 5);

function showStatus() {
  const unsent = waiting.length
    ? sayMany("{number} thing not sent yet.", "{number} things not sent yet.", waiting.length)
    : "";
  const lost = lostAt
    ? say("No signal since {time}: this is what was known then.", { time: clockText(lostAt) })
    : "";
  find("status").textContent = [lost, unsent].filter(Boolean).join(" ");
}

/** Marks the signs that were seen to here, of which the server has not heard yet. */
function showWaiting() {
  for (const key of seenTo(waiting)) {
    const card = page.querySelector(`[data-sign="${CSS.escape(key)}"]`);
    if (!card) continue;
    card.classList.add("is-done");
    card.querySelector("[data-seen]").textContent = say("Seen to; not sent yet");
  }
  showStatus();
}

/** Where the keyboard was in the part that is replaced, so that it is there again. */
function focusedSign() {
  const active = document.activeElement;
  return page.contains(active) ? active.closest("[data-sign]")?.dataset.sign : undefined;
}

function showParts(html) {
  const key = focusedSign();
  page.innerHTML = html;
  if (key) page.querySelector(`[data-sign="${CSS.escape(key)}"] button`)?.focus();
}

async function sendWaiting() {
  if (!waiting.length) return;
  const acts = [...waiting];
  const answer = await fetch(page.dataset.acts, {
    method: "POST",
    headers: { "content-type": "application/json", "x-csrftoken": token },
    body: JSON.stringify({ acts, clock: new Date().toISOString() }),
    signal: patience(PATIENCE_MS),
  });
  if (answer.redirected || !answer.ok) throw new Error(String(answer.status));
  const sent = new Set(acts.map(({ id }) => id)); // the server's word: had, or not to be had
  waiting = waiting.filter(({ id }) => !sent.has(id));
  keep();
}

async function ask() {
  if (isAsking) return;
  isAsking = true;
  try {
    await sendWaiting();
    const answer = await fetch(page.dataset.parts, { signal: patience(PATIENCE_MS) });
    if (answer.redirected || !answer.ok) throw new Error(String(answer.status));
    showParts(await answer.text());
    lostAt = null;
  } catch {
    lostAt ??= new Date(); // the next turn tries again
  } finally {
    isAsking = false;
  }
  showWaiting();
}

document.addEventListener("submit", (event) => {
  const form = event.target.closest("[data-act]");
  if (!form) return;
  event.preventDefault();
  const fields = Object.fromEntries(new FormData(form, event.submitter));
  waiting = [...waiting, asAct(fields, { id: newId(), at: new Date().toISOString() })];
  keep();
  if (fields.do === "note") form.reset();
  showWaiting();
  ask();
});

find("minutes")
  .querySelector("select")
  .addEventListener("change", (event) => {
    event.target.form.submit();
  });
showWaiting();
setInterval(() => document.hidden || ask(), EVERY_MS);
window.addEventListener("online", ask);
document.addEventListener("visibilitychange", () => document.hidden || ask());
if (waiting.length) ask();
