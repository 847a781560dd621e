/** What stands round the compass on the screen: signs with their names. */
import { drawn } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const AROUND = 174; // radius on which things lie, as in drawing/baseplate.py
const EDGE = 210; // how far to the side a name may reach, into the margin of the page
const BELOW = 27; // from a sign to the foot of its name
const ABOVE = 15;

/** A thing with its name, to be put in its place; `sign` is a drawing as text. */
export function marker({ name }, sign) {
  const group = document.createElementNS(SVG, "g");
  const label = document.createElementNS(SVG, "text");
  label.setAttribute("class", "place-name");
  label.setAttribute("text-anchor", "middle");
  label.textContent = name;
  group.append(...drawn(sign).children, label);
  return group;
}

/**
 * Puts a thing where it lies, degrees clockwise from the travel arrow. Its name stays inside the
 * drawing; the group must be in the page, or its text has no length.
 */
export function put(group, degrees) {
  const turn = (degrees * Math.PI) / 180;
  const [x, y] = [AROUND * Math.sin(turn), -AROUND * Math.cos(turn)];
  const label = group.lastElementChild;
  const half = label.getComputedTextLength() / 2;
  const inside = Math.min(Math.max(x, half - EDGE), EDGE - half);
  label.setAttribute("x", (inside - x).toFixed(1));
  label.setAttribute("y", String(y < -AROUND / 2 ? -ABOVE : BELOW));
  group.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
}
