/**
 * The page on which somebody deletes their name: it asks before it is sent, says where there is no
 * signal, and lets the phone itself forget what was deleted.
 */
import { find } from "./dom.js";
import { forgetClass, forgetPerson } from "./kept-class.js";
import { forget, waiting } from "./outbox.js";
import { forgetNotes } from "./small-notes.js";
import { patience } from "./sync.js";
import { say, sayMany } from "./words.js";

const PATIENCE_MS = 10000;

/** Says how many readings wait on this phone: they are not sent any more by who is deleted. */
async function showWaiting(code) {
  const number = (await waiting(code)).length;
  find("forget-waiting").hidden = !number;
  find("forget-waiting").textContent = sayMany(
    "{number} reading waits on this phone. Send it first, or it goes too.",
    "{number} readings wait on this phone. Send them first, or they go too.",
    number,
  );
}

/** Whether the server can be reached: a form that fails would leave a page of the browser's own. */
async function isReached(address) {
  try {
    return (await fetch(address, { method: "HEAD", signal: patience(PATIENCE_MS) })).ok;
  } catch {
    return false;
  }
}

/** Asks once more and looks for the server, then lets the form go its way. */
async function ask(event) {
  const { target: form, submitter } = event;
  event.preventDefault();
  const isTakenBack = submitter.value === "keep";
  if (!isTakenBack && !confirm(say("Really delete it? It cannot be undone."))) return;
  const reached = await isReached(location.href);
  find("forget-offline").hidden = reached;
  if (!reached) return;
  const chosen = document.createElement("input");
  Object.assign(chosen, { type: "hidden", name: submitter.name, value: submitter.value });
  form.append(chosen);
  form.submit();
}

/** What the phone holds of somebody who is deleted. */
async function forgetHere(code, person) {
  for (const reading of await waiting(code)) {
    if (reading.person === person) await forget(reading.id);
  }
  if (await forgetPerson(code, person)) return; // others are left on this phone
  await forgetClass(code);
  forgetNotes(`typed ${code} `);
}

const done = find("forgotten");
if (done) await forgetHere(done.dataset.forgotten, Number(done.dataset.person));
for (const form of document.querySelectorAll("[data-forget]")) {
  form.addEventListener("submit", ask);
}
if (find("forget")) await showWaiting(find("forget").dataset.forget);
