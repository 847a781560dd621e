/**
 * The place of a site: typed, tapped on the map, or the device's own; each is said back at once,
 * as the server does without a script.
 */
import { find } from "./dom.js";
import { worldMap } from "./world-map.js";

const PAUSE_MS = 600;
const NEAR = 7; // the scale at which a place is shown that was typed
const form = find("place-form");
const part = find("place-part");
const field = form.elements.place;
const { tiles } = JSON.parse(document.getElementById("map").textContent);
let pause = 0;
let turn = 0;

/** Puts the cross where the part says that the place lies. */
function follow() {
  const at = part.querySelector("[data-at]")?.dataset.at.split(",").map(Number);
  if (at) putCross(at, NEAR);
}

/** Shows the answer of the server. The map stays under the finger that tapped it. */
function show(html, isTapped) {
  const before = find("map").getBoundingClientRect().top;
  part.innerHTML = html;
  if (isTapped) globalThis.scrollBy(0, find("map").getBoundingClientRect().top - before);
  else follow();
  for (const old of field.closest(".field").querySelectorAll(".error")) old.remove();
  field.closest(".field").classList.remove("field-wrong");
}

/** Asks the server to say the place back. */
async function sayBack(isTapped = false) {
  clearTimeout(pause);
  const own = ++turn;
  const asked = {
    place: field.value,
    own_zone: form.elements.own_zone.value,
    site: form.dataset.site,
  };
  if (!field.value.trim()) {
    part.replaceChildren();
    return;
  }
  try {
    const answer = await fetch(`${form.dataset.said}?${new URLSearchParams(asked)}`);
    if (!answer.ok || answer.redirected) return;
    const html = await answer.text();
    if (own === turn) show(html, isTapped);
  } catch {
    return; // no connection: “Save” says it back
  }
}

function put(text, isTapped) {
  field.value = text;
  sayBack(isTapped);
}

const fixed = (at, digits) => at.map((degrees) => degrees.toFixed(digits)).join(", ");

/** The decimals that a position is good for which is known to so many metres. */
const digitsOf = (metres) => (metres > 1000 ? 3 : metres > 100 ? 4 : 5);

function locate() {
  find("no-position").hidden = true;
  find("locating").hidden = false;
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      find("locating").hidden = true;
      put(fixed([coords.latitude, coords.longitude], digitsOf(coords.accuracy)));
    },
    () => {
      find("locating").hidden = true;
      find("no-position").hidden = false;
    },
    { enableHighAccuracy: true, maximumAge: 60000, timeout: 20000 },
  );
}

/** A button of the part that names another place: taken here, without a new page. */
function onChoice(event) {
  const button = event.target.closest("button[name=place_instead]");
  if (!button) return;
  event.preventDefault();
  put(button.value);
  field.focus();
}

form.elements.own_zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
find("map-frame").hidden = false;
part.dataset.withMap = "";
const { land, towns } = form.dataset;
const putCross = worldMap(find("map"), { land, towns, tiles }, (at, digits) =>
  put(fixed(at, digits), true),
);
follow();
field.addEventListener("input", () => {
  clearTimeout(pause);
  pause = setTimeout(() => sayBack(), PAUSE_MS);
});
part.addEventListener("click", onChoice);
form.elements.look.addEventListener("click", (event) => {
  event.preventDefault();
  sayBack();
});
if (!globalThis.isSecureContext) find("plain-http").hidden = false;
else if (navigator.geolocation) find("locate").hidden = false;
find("locate").addEventListener("click", locate);
