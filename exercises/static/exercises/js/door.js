/**
 * The pages at the door (front page, joining, own sheet): how the phone likes its pages, the
 * worker, and the classes that the phone knows.
 */
import { find, text } from "./dom.js";
import { recall, recallAll } from "./kept-class.js";
import { look } from "./look.js";
import { goOn } from "./sync.js";
import { linkWorker } from "./worker-link.js";

/**
 * A phone that was in the class and lost its cookie is not asked to join again: its personal codes
 * bring it back.
 */
async function comeBack(code) {
  const codes = ((await recall(code))?.people ?? []).map((person) => person.code).filter(Boolean);
  if (!codes.length || !(await goOn(code, codes).catch(() => false))) return;
  location.replace(location.href); // the server knows this phone again, and where it was going
}

/** A station's card without signal: the class that knows the card opens at it. */
async function openCard(card) {
  const classes = (await recallAll()).sort((known, other) => other.kept_at - known.kept_at);
  for (const { code, stations } of classes) {
    const station = stations.find((known) => known.card === card);
    if (station) location.replace(`/c/${code}/#${station.code}`);
    if (station) return;
  }
}

function classLink({ code, name }) {
  const item = document.createElement("li");
  const link = text("a", name);
  link.href = `/c/${code}/`;
  item.append(link);
  return item;
}

async function showKnownClasses() {
  const classes = await recallAll();
  find("known").hidden = !classes.length;
  find("known-classes").replaceChildren(...classes.map(classLink));
}

/** Whether something has been typed that would be lost with the page. */
const isBusy = () =>
  [...document.querySelectorAll("input:not([type=hidden])")].some(
    (input) => input.value !== input.defaultValue,
  );

look();
const card = location.pathname.match(/^\/s\/([^/]+)\/$/i);
if (card) await openCard(card[1].toUpperCase());
const isNew = new URLSearchParams(location.search).has("more"); // somebody else joins on purpose
if (find("joining") && !isNew) await comeBack(find("joining").dataset.joining);
// the worker shows the front page, as it was kept, for one that it could not fetch
if (find("no-signal")) {
  find("no-signal").hidden = location.pathname === find("no-signal").dataset.noSignal;
}
if (find("known-classes")) await showKnownClasses();
linkWorker({ isBusy });
