/**
 * The compass on the screen: draws how it stands, and lets the person turn themselves or the
 * housing by hand, by slider or by key.
 */
import { marker, put } from "./around.js";
import { wrap } from "./bearing.js";
import { difference, nearest, needle, offTheArrow } from "./compass.js";
import { find } from "./dom.js";
import { say } from "./words.js";

const HOUSING = 112; // a touch within this radius turns the housing
const AHEAD_DEG = 12; // what lies within this of the travel arrow is said to lie ahead
const STRAIGHT_DEG = 2; // nearer than anybody aims a plate
const NEAR_DEG = 10; // from here on the degrees are said: further off they would be the answer

const shown = (degrees) => String(wrap(Math.round(degrees))).padStart(3, "0");

const part = (name) => find("drawing").querySelector(`[data-turns=${name}]`);

/** What lies ahead: the landmark nearest to the travel arrow, or null. */
function ahead({ landmarks, facing }) {
  const landmark = nearest(landmarks, facing);
  return Math.abs(difference(landmark.bearing_deg, facing)) <= AHEAD_DEG ? landmark : null;
}

function needleWords({ facing, number, declination }) {
  const off = Math.round(offTheArrow(facing, number, declination));
  if (off === 0) return say("The north end of the needle lies in the orienting arrow.");
  if (Math.abs(off) === 180) return say("The south end of the needle lies in the orienting arrow.");
  if (Math.abs(off) > NEAR_DEG) {
    return off > 0
      ? say("The north end of the needle lies to the right of the orienting arrow.")
      : say("The north end of the needle lies to the left of the orienting arrow.");
  }
  return off > 0
    ? say("The north end of the needle lies {off}° to the right of the orienting arrow.", { off })
    : say("The north end of the needle lies {off}° to the left of the orienting arrow.", {
        off: -off,
      });
}

function aheadWords(state) {
  const landmark = ahead(state);
  if (!landmark) return say("Nothing in particular lies ahead.");
  const aside = Math.round(difference(landmark.bearing_deg, state.facing));
  if (Math.abs(aside) <= STRAIGHT_DEG) return say("Ahead: {name}.", landmark);
  return aside > 0
    ? say("A little to the right of the travel arrow: {name}.", landmark)
    : say("A little to the left of the travel arrow: {name}.", landmark);
}

function draw(state) {
  part("housing").setAttribute("transform", `rotate(${-state.number})`);
  part("needle").setAttribute("transform", `rotate(${needle(state.facing, state.declination)})`);
  state.markers.forEach((group, index) => {
    put(group, state.landmarks[index].bearing_deg - state.facing);
  });
}

/** The same in words, and where the sliders stand. */
function describe(state) {
  const numberWords = say("{number} at the index line.", { number: shown(state.number) });
  find("ahead").textContent = `${aheadWords(state)} ${needleWords(state)}`;
  find("body").value = String(Math.round(state.facing));
  find("body").setAttribute("aria-valuetext", find("ahead").textContent);
  find("housing").value = String(Math.round(state.number));
  find("housing").setAttribute("aria-valuetext", `${numberWords} ${needleWords(state)}`);
}

function set(state, changes) {
  Object.assign(state, changes);
  draw(state);
  describe(state);
}

const KEY_STEPS = {
  ArrowRight: 1,
  ArrowUp: 1,
  ArrowLeft: -1,
  ArrowDown: -1,
  PageUp: 10,
  PageDown: -10,
};

function listenToSlider(state, name, angle) {
  const input = find(name);
  input.addEventListener("input", () => set(state, { [angle]: Number(input.value) }));
  input.addEventListener("keydown", (event) => {
    const step = KEY_STEPS[event.key];
    if (!step) return;
    event.preventDefault();
    set(state, { [angle]: wrap(state[angle] + step) }); // a circle has no end: past 359 comes 0
  });
}

/** Where a finger lies on the drawing, from its middle: clockwise from the top, and how far out. */
function touched(area, { clientX, clientY }) {
  const box = area.firstElementChild.getBoundingClientRect();
  const [x, y] = [clientX - box.left - box.width / 2, clientY - box.top - box.height / 2];
  return {
    degrees: (Math.atan2(x, -y) * 180) / Math.PI,
    radius: (Math.hypot(x, y) * 400) / box.width,
  };
}

/**
 * What a finger that has turned by some degrees does. The ring follows it, so the number at the
 * index falls; the world follows it, so the person turns the other way.
 */
function turn(state, turnsHousing, degrees) {
  if (turnsHousing) set(state, { number: wrap(state.number - degrees) });
  else if (state.canTurnBody) set(state, { facing: wrap(state.facing - degrees) });
}

function listenToFinger(state) {
  const area = find("drawing");
  let last = null; // where the finger was, in degrees
  let turnsHousing = false;
  const letGo = () => {
    last = null;
  };
  area.addEventListener("pointerdown", (event) => {
    const { degrees, radius } = touched(area, event);
    last = degrees;
    turnsHousing = radius <= HOUSING;
    area.setPointerCapture(event.pointerId);
  });
  area.addEventListener("pointermove", (event) => {
    if (last === null) return;
    const { degrees } = touched(area, event);
    const turned = difference(degrees, last);
    last = degrees;
    turn(state, turnsHousing, turned);
  });
  for (const end of ["pointerup", "pointercancel"]) area.addEventListener(end, letGo);
}

/** Wires the instrument of the page; `signs` are drawings by name. */
export function instrument(signs) {
  const state = { facing: 0, number: 0, declination: 0, landmarks: [], markers: [] };
  listenToSlider(state, "body", "facing");
  listenToSlider(state, "housing", "number");
  listenToFinger(state);
  return {
    /** Puts the instrument into a view; `canTurnBody` says whether the person turns as well. */
    stand(view, { canTurnBody }) {
      for (const name of ["instrument", "sliders"]) {
        document.querySelector(`[data-${name}-slot=${view}]`).append(find(name));
      }
      for (const name of ["body", "body-label"]) find(name).hidden = !canTurnBody;
      state.canTurnBody = canTurnBody;
    },
    /** Sets the instrument on a place's mark. */
    begin({ landmarks, declination_deg: declination, facing, number }) {
      const markers = landmarks.map((landmark) => marker(landmark, signs.target));
      part("around").replaceChildren(...markers);
      set(state, { landmarks, markers, declination, facing, number });
    },
    /** The landmark that lies ahead, or null. */
    ahead: () => ahead(state),
    /** The number at the index line. */
    number: () => state.number,
    /** The true direction in which the travel arrow points. */
    facing: () => state.facing,
  };
}
