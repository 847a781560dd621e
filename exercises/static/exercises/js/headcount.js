/**
 * A count of heads: a tick shows at once, is kept on this phone until the server has it, and what
 * other counters ticked comes in between. Without a signal the page goes on as long as it is open,
 * and takes up what it kept when it is loaded again.
 */
import { find } from "./dom.js";
import { asMarked, merged, missing } from "./headcount-state.js";
import { newId } from "./new-id.js";
import { noted, note } from "./small-notes.js";
import { say, sayMany } from "./words.js";

const EVERY_MS = 3000;
const page = find("headcount");
const name = `headcount-${page.dataset.headcount}`;
const token = document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
let waiting = JSON.parse(noted(name) || "[]"); // marks that the server does not have yet
let people = [];
let isSending = false;

const keep = () => note(name, waiting.length ? JSON.stringify(waiting) : "");

function show() {
  const count = missing(people);
  find("words").textContent = count
    ? sayMany("{number} missing", "{number} missing", count)
    : say("Everybody is here");
  find("status").textContent = waiting.length
    ? sayMany("{number} tick not sent yet", "{number} ticks not sent yet", waiting.length)
    : "";
  for (const person of people) {
    const button = document.querySelector(`[data-person="${person.id}"]`);
    if (!button) continue;
    button.setAttribute("aria-pressed", String(person.here));
    button.value = person.here ? "no" : "yes";
    button.querySelector("[data-said]").textContent = person.said;
    button.querySelector("[data-last]").textContent = person.last;
  }
}

function take(state) {
  const there = document.querySelectorAll("[data-person]").length;
  if (state.people.length !== there && !waiting.length) location.reload(); // somebody came or left
  people = merged(state.people, waiting);
  show();
}

async function send() {
  if (isSending) return;
  isSending = true;
  try {
    const marks = [...waiting];
    const answer = marks.length
      ? await fetch(page.dataset.marks, {
          method: "POST",
          headers: { "content-type": "application/json", "x-csrftoken": token },
          body: JSON.stringify({ marks, clock: new Date().toISOString() }),
        })
      : await fetch(page.dataset.state);
    if (answer.redirected || !answer.ok) throw new Error(String(answer.status));
    const state = await answer.json();
    const kept = new Set(marks.map(({ id }) => id)); // the server's word: had, or not to be had
    waiting = waiting.filter(({ id }) => !kept.has(id));
    keep();
    take(state);
  } catch {
    show(); // no signal: what is kept stands there, the next turn tries again
  } finally {
    isSending = false;
  }
}

page.addEventListener("click", (event) => {
  const button = event.target.closest("[data-person]");
  if (!button) return;
  event.preventDefault();
  const mark = asMarked(Number(button.dataset.person), button.value === "yes", {
    id: newId(),
    at: new Date().toISOString(),
  });
  waiting = [...waiting, mark];
  keep();
  people = merged(people, waiting);
  show();
  send();
});

people = [...document.querySelectorAll("[data-person]")].map((button) => ({
  id: Number(button.dataset.person),
  here: button.getAttribute("aria-pressed") === "true",
  said: button.querySelector("[data-said]").textContent,
  last: button.querySelector("[data-last]").textContent,
}));
people = merged(people, waiting);
show();
send();
setInterval(() => document.hidden || send(), EVERY_MS);
window.addEventListener("online", send);
