/** What stands round the compass on the screen: signs with their names. */
import { drawn } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const AROUND = 174; // radius on which things lie, as in drawing/baseplate.py
const EDGE = 210; // how far to the side a name may reach, into the margin of the page
const BELOW = 29; // from a sign to the foot of its name
const ABOVE = 18;
const LINE = 16; // from one line of a name to the next
const BESIDE = 90; // so far to the side a long name would lie on the dial: it has two lines there
const LONG = 95;

/** A name in two lines of about the same length, or in one if it is one word. */
export function twoLines(name) {
  const spaces = [...name.matchAll(/ /g)].map(({ index }) => index);
  if (!spaces.length) return [name];
  const offMiddle = (index) => Math.abs(index - name.length / 2);
  const at = spaces.reduce((best, index) => (offMiddle(index) < offMiddle(best) ? index : best));
  return [name.slice(0, at + 1), name.slice(at + 1)];
}

/** Writes a name in some lines, the last of which has its foot at `y`; returns half its width. */
function write(label, lines, y) {
  const parts = lines.map((line, row) => {
    const part = document.createElementNS(SVG, "tspan");
    part.textContent = line;
    part.setAttribute("y", String(y - LINE * (lines.length - 1 - row)));
    return part;
  });
  label.replaceChildren(...parts);
  return Math.max(...parts.map((part) => part.getComputedTextLength())) / 2;
}

/** A thing with its name, to be put in its place; `sign` is a drawing as text. */
export function marker({ name }, sign) {
  const group = document.createElementNS(SVG, "g");
  const label = document.createElementNS(SVG, "text");
  label.setAttribute("class", "place-name");
  label.setAttribute("text-anchor", "middle");
  label.dataset.name = name;
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
  const foot = y < -AROUND / 2 ? -ABOVE : BELOW;
  const { name } = label.dataset;
  let half = write(label, [name], foot);
  if (2 * half > LONG && Math.abs(x) > BESIDE) {
    const lines = twoLines(name);
    half = write(label, lines, foot < 0 ? foot : foot + LINE * (lines.length - 1));
  }
  const inside = Math.min(Math.max(x, half - EDGE), EDGE - half);
  for (const part of label.children) part.setAttribute("x", (inside - x).toFixed(1));
  group.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
}
