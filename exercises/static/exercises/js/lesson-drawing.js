/** Draws what a round is about: a drawing of the page, its parts turned, with more laid on it. */
import { marker, put } from "./around.js";
import { drawn } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const SPOT_PX = 46; // side of what is touched, however large the drawing is
const SEEN = 0.55; // of it as it is drawn, so that no name lies on it

const part = (svg, name) => svg.querySelector(`[data-turns="${name}"]`);

/** Elements that came as text, without a drawing round them. */
const pieces = (content) => [...drawn(`<svg xmlns="${SVG}">${content}</svg>`).children];

/**
 * A drawing of a round, put into `frame`.
 * @param {object} told `name`, `words`, `turns`, and perhaps `without`, `box`, `under`, `over`,
 *   `landmarks`: as exercises/presenting/lessons/base.py makes it
 * @param {{drawings: object, signs: object}} page the drawings and signs by name
 */
export function drawRound(frame, told, { drawings, signs }) {
  const svg = drawn(drawings[told.name]);
  svg.querySelector("title").textContent = told.words;
  if (told.box) svg.setAttribute("viewBox", told.box);
  for (const name of told.without ?? []) part(svg, name).remove();
  for (const [name, degrees] of Object.entries(told.turns ?? {})) {
    part(svg, name).setAttribute("transform", `rotate(${degrees})`);
  }
  svg.querySelector("title").after(...pieces(told.under ?? ""));
  svg.append(...pieces(told.over ?? ""));
  frame.replaceChildren(svg);
  for (const landmark of told.landmarks ?? []) {
    const group = marker(landmark, signs.target);
    part(svg, "around").append(group);
    put(group, landmark.turn);
  }
  return svg;
}

function square(side, className) {
  const made = document.createElementNS(SVG, "rect");
  for (const [name, value] of Object.entries({ x: -side / 2, y: -side / 2, rx: 6 })) {
    made.setAttribute(name, String(value));
  }
  made.setAttribute("width", String(side));
  made.setAttribute("height", String(side));
  made.setAttribute("class", className);
  return made;
}

/**
 * A spot of a drawing in the page that can be tapped. Its equal for keys and screen readers is a
 * button.
 */
export function spot(svg, [x, y], act) {
  const made = document.createElementNS(SVG, "g");
  const pixel = 1 / svg.getScreenCTM().a; // in units of the drawing
  made.setAttribute("class", "tapped");
  made.setAttribute("transform", `translate(${x} ${y}) scale(${pixel})`);
  made.append(square(SPOT_PX, "tapped-area"), square(SPOT_PX * SEEN, "tapped-mark"));
  made.addEventListener("click", act);
  svg.append(made);
  return made;
}
