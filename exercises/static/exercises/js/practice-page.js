/**
 * The practice page: the list of lessons and places, what its address asks for, and what the phone
 * remembers of it.
 */
import { button, drawn, find, text } from "./dom.js";
import { instrument } from "./instrument.js";
import { isDone, readProgress } from "./lesson-progress.js";
import { lessonView } from "./lesson-view.js";
import { look } from "./look.js";
import { isSame, readLink } from "./practice-link.js";
import { forgetNotes, note, noted } from "./small-notes.js";
import { trainer } from "./trainer.js";
import { showOnly } from "./views.js";
import { say } from "./words.js";
import { keepPage, linkWorker } from "./worker-link.js";

const PROGRESS = "practice lessons";
const LINK = "practice link";
const IS_LINK = /[?&](?:declination|dial)=/;
const page = JSON.parse(document.getElementById("lessons").textContent);
const places = JSON.parse(document.getElementById("practice").textContent);
const codes = page.lessons.map(({ code }) => code);
const kept = {
  read: () => readProgress(noted(PROGRESS), codes),
  write: (progress) => note(PROGRESS, JSON.stringify(progress)),
};
const goTo = (address) => {
  location.hash = address;
};

find("drawing").append(drawn(page.drawings.compass));
const compass = instrument(page.signs);
const lessons = lessonView(page, compass, kept, goTo);
const ground = trainer(places, compass);

function item(content, address, ...more) {
  const made = document.createElement("li");
  const touched = button("", () => goTo(address));
  touched.append(text("span", content, "grow"), ...more);
  made.append(touched);
  return made;
}

function lessonItem({ code, title }) {
  const done = isDone(kept.read(), code) ? [text("span", say("done"), "done")] : [];
  return item(title, code, ...done);
}

function showBeginning() {
  find("step").textContent = "";
  find("lesson-list").replaceChildren(...page.lessons.map(lessonItem));
  find("forget").hidden = !noted(PROGRESS) && !noted(LINK);
  showOnly("begin");
}

/** The lesson or task of the address, so that a page that was reloaded goes on where it was. */
function route() {
  const [code, step] = location.hash.slice(1).split("/");
  const isShown = lessons.show(code, step) || ground.show(code, step);
  find("leave").hidden = isShown;
  find("lessons").hidden = !isShown;
  if (!isShown) showBeginning();
}

function sayOfLink(words) {
  find("link-notice").textContent = words;
  find("link-notice").hidden = false;
}

/** Remembers an instructor's link that can be read, and says where this page is not its page. */
function followLink() {
  if (!IS_LINK.test(location.search)) return offerLink();
  const asked = readLink(location.search);
  if (!asked) {
    return sayOfLink(say("This link cannot be read. Ask your instructor for it once more."));
  }
  if (isSame(asked, readLink(`?${new URLSearchParams(page.link)}`))) {
    return note(LINK, location.search);
  }
  return sayOfLink(
    say("Without signal these are the usual lessons. Open the link once with signal."),
  );
}

/** A way back to the place of a link that was followed before. */
function offerLink() {
  const before = noted(LINK);
  if (!before || !readLink(before)) return;
  find("kept-link").firstElementChild.href = location.pathname + before;
  find("kept-link").hidden = false;
}

find("forget").addEventListener("click", () => {
  forgetNotes("practice ");
  find("kept-link").hidden = true;
  showBeginning();
  find("forgotten").textContent = say(
    "Forgotten. Nothing of it is on this phone any more. What you told an instructor you take back on the page of the class.",
  );
});
find("lessons").addEventListener("click", () => goTo(""));
find("places").replaceChildren(...places.map(({ code, name }) => item(name, `${code}/1`)));
find("again").replaceChildren(...places.map(({ code, name }) => item(name, `${code}/1`)));
window.addEventListener("hashchange", route);
followLink();
route();
look();
linkWorker({
  isBusy: () => Boolean(location.hash),
  onReady: () => {
    if (location.search && noted(LINK) === location.search) keepPage();
  },
});
