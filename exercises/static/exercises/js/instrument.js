/**
 * The compass on the screen: draws how it stands, and lets the person turn themselves or the
 * housing by hand, by slider or by key.
 */
import { needle, nearest, difference, offTheArrow } from "./compass.js";
import { wrap } from "./bearing.js";
import { find } from "./dom.js";
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const AROUND = 174; // radius on which things lie, as in drawing/baseplate.py
const HOUSING = 112; // a touch within this radius turns the housing
const AHEAD_DEG = 12; // what lies within this of the travel arrow is said to lie ahead
const STRAIGHT_DEG = 2; // nearer than anybody aims a plate
const NEAR_DEG = 10; // from here on the degrees are said: further off they would be the answer

const place = (bearing, radius) => [
  radius * Math.sin((bearing * Math.PI) / 180),
  -radius * Math.cos((bearing * Math.PI) / 180),
];
const shown = (degrees) => String(wrap(Math.round(degrees))).padStart(3, "0");

function marker({ code }) {
  const group = document.createElementNS(SVG, "g");
  const circle = document.createElementNS(SVG, "circle");
  const label = document.createElementNS(SVG, "text");
  circle.setAttribute("r", "19");
  circle.setAttribute("class", "landmark");
  label.setAttribute("class", "landmark-code");
  label.setAttribute("text-anchor", "middle");
  label.setAttribute("dominant-baseline", "central");
  label.textContent = code;
  group.append(circle, label);
  return group;
}

/** Wires the instrument of the page. */
export function instrument() {
  const state = { facing: 0, number: 0, declination: 0, landmarks: [] };
  const part = (name) => document.querySelector(`[data-turns=${name}]`);
  let markers = [];

  const ahead = () => {
    const one = nearest(state.landmarks, state.facing);
    return Math.abs(difference(one.bearing_deg, state.facing)) <= AHEAD_DEG ? one : null;
  };

  const needleWords = () => {
    const off = Math.round(offTheArrow(state.facing, state.number, state.declination));
    if (off === 0) return say("The red end lies in the orienting arrow.");
    if (Math.abs(off) === 180) return say("The white end lies in the orienting arrow.");
    if (Math.abs(off) > NEAR_DEG)
      return off > 0
        ? say("The red end lies to the right of the orienting arrow.")
        : say("The red end lies to the left of the orienting arrow.");
    return off > 0
      ? say("The red end lies {off}° to the right of the orienting arrow.", { off })
      : say("The red end lies {off}° to the left of the orienting arrow.", { off: -off });
  };

  const aheadWords = () => {
    const one = ahead();
    if (!one) return say("Nothing in particular lies ahead.");
    const aside = Math.round(difference(one.bearing_deg, state.facing));
    if (Math.abs(aside) <= STRAIGHT_DEG) return say("Ahead: {name} ({code}).", one);
    return aside > 0
      ? say("A little to the right of the travel arrow: {name} ({code}).", one)
      : say("A little to the left of the travel arrow: {name} ({code}).", one);
  };

  function draw() {
    part("housing").setAttribute("transform", `rotate(${-state.number})`);
    part("needle").setAttribute("transform", `rotate(${needle(state.facing, state.declination)})`);
    markers.forEach((group, index) => {
      const [x, y] = place(state.landmarks[index].bearing_deg - state.facing, AROUND);
      group.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
    });
    find("ahead").textContent = `${aheadWords()} ${needleWords()}`;
    find("body").value = String(Math.round(state.facing));
    find("body").setAttribute("aria-valuetext", find("ahead").textContent);
    find("housing").value = String(Math.round(state.number));
    find("housing").setAttribute(
      "aria-valuetext",
      `${say("{number} at the index line.", { number: shown(state.number) })} ${needleWords()}`,
    );
  }

  const set = (changes) => {
    Object.assign(state, changes);
    draw();
  };

  function slider(name, key) {
    const input = find(name);
    input.addEventListener("input", () => set({ [key]: Number(input.value) }));
    input.addEventListener("keydown", (event) => {
      // a circle has no end: past 359 comes 0
      const step = {
        ArrowRight: 1,
        ArrowUp: 1,
        ArrowLeft: -1,
        ArrowDown: -1,
        PageUp: 10,
        PageDown: -10,
      }[event.key];
      if (!step) return;
      event.preventDefault();
      set({ [key]: wrap(state[key] + step) });
    });
  }

  function drag() {
    const area = find("drawing");
    let last = null;
    let turnsHousing = false;
    const angle = (event) => {
      const box = area.firstElementChild.getBoundingClientRect();
      const [x, y] = [
        event.clientX - box.left - box.width / 2,
        event.clientY - box.top - box.height / 2,
      ];
      return {
        degrees: (Math.atan2(x, -y) * 180) / Math.PI,
        radius: (Math.hypot(x, y) * 400) / box.width,
      };
    };
    area.addEventListener("pointerdown", (event) => {
      const { degrees, radius } = angle(event);
      last = degrees;
      turnsHousing = radius <= HOUSING;
      area.setPointerCapture(event.pointerId);
    });
    area.addEventListener("pointermove", (event) => {
      if (last === null) return;
      const { degrees } = angle(event);
      const turned = difference(degrees, last);
      last = degrees;
      if (turnsHousing)
        // the ring follows the finger, so the number at the index falls
        set({ number: wrap(state.number - turned) });
      // the world follows the finger: the person turns the other way
      else set({ facing: wrap(state.facing - turned) });
    });
    for (const end of ["pointerup", "pointercancel"])
      area.addEventListener(end, () => {
        last = null;
      });
  }

  slider("body", "facing");
  slider("housing", "number");
  drag();

  return {
    /** Sets the instrument on a place's mark. */
    begin({ landmarks, declination_deg: declination, facing, number }) {
      markers = landmarks.map(marker);
      part("around").replaceChildren(...markers);
      set({ landmarks, declination, facing, number });
    },
    ahead,
    /** The true direction in which the travel arrow points. */
    facing: () => state.facing,
  };
}
