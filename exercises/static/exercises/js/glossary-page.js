/** The page of words: it shows those that hold the letters typed. Without it all are shown. */
import { find } from "./dom.js";
import { look } from "./look.js";
import { holds } from "./letters.js";
import { sayMany } from "./words.js";
import { linkWorker } from "./worker-link.js";

const entries = [...document.querySelectorAll("[data-entry]")];
const sections = [...document.querySelectorAll("[data-section]")];
const letters = find("letters");

/** Shows the words that hold the letters; all of them, and the whole compass, without any. */
function show() {
  const typed = letters.value;
  for (const entry of entries) entry.hidden = !holds(entry.textContent, typed);
  for (const section of sections) {
    section.hidden = !section.querySelector("[data-entry]:not([hidden])");
  }
  find("whole").hidden = Boolean(typed.trim());
  find("parts").hidden = Boolean(typed.trim());
  const found = entries.filter((entry) => !entry.hidden).length;
  find("found").textContent = typed.trim()
    ? sayMany("{number} word found.", "{number} words found.", found)
    : "";
}

/** A word that is asked for by its address is shown whatever was typed. */
function showAsked() {
  const asked = document.getElementById(location.hash.slice(1));
  if (!asked || !asked.closest("[hidden]")) return;
  letters.value = "";
  show();
  asked.scrollIntoView();
}

find("search-row").hidden = false;
letters.addEventListener("input", show);
window.addEventListener("hashchange", showAsked);
show();
look();
linkWorker({ isBusy: () => Boolean(letters.value) });
