/** How this phone likes its pages: sunlight, left hand, language. */
import { note, noted } from "./small-notes.js";
import { language } from "./words.js";
import { renewPages } from "./worker-link.js";

const YEAR_S = 31536000;

function apply(name) {
  const value = noted(name);
  if (value) document.documentElement.dataset[name] = value;
  else delete document.documentElement.dataset[name];
  for (const made of document.querySelectorAll(`[data-switch=${name}]`)) {
    made.setAttribute("aria-pressed", String(Boolean(value)));
  }
}

async function speak(code) {
  document.cookie = `navclass_language=${code}; path=/; max-age=${YEAR_S}; SameSite=Lax`;
  await renewPages();
  location.reload(); // half-typed numbers are noted, and stay
}

/** Wires the switches at the foot of a phone's page. */
export function look() {
  for (const name of ["look", "hand"]) apply(name);
  for (const made of document.querySelectorAll("[data-switch]")) {
    made.addEventListener("click", () => {
      const name = made.dataset.switch;
      note(name, noted(name) ? "" : made.dataset.value);
      apply(name);
    });
  }
  for (const made of document.querySelectorAll("[data-speak]")) {
    made.hidden = made.dataset.speak === language;
    made.addEventListener("click", () => speak(made.dataset.speak));
  }
}
