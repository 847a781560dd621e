/**
 * The compass dial, drawn from numbers by the rule of exercises/drawing/dial.py; both read
 * fixtures/shared/dials.json. Pure: the drawing is text. Bearings are degrees clockwise from the
 * north that is asked.
 */
import { difference } from "./compass.js";

const RING = 100;
const FACE = 80;
const OUTWARDS = 2.2; // by how much a number moves out at the sides for each digit beyond three
const CLEAR_DEG = 8; // of a letter: a number nearer than this would run into it
// how many units go round, and how far apart ticks, longer ticks and numbers are
const SCALES = {
  deg: [360, 2, 10, 30],
  mil6400: [6400, 50, 100, 400],
  mil6300: [6300, 50, 100, 300],
  mil6000: [6000, 50, 100, 500],
};
const ESCAPED = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;" };

const escape = (text) => text.replace(/[&<>"']/g, (letter) => ESCAPED[letter]);

/** A length with at most two decimals. */
function short(value) {
  const written = value.toFixed(2).replace(/\.?0+$/, "");
  return Object.is(value, -0) ? "-0" : written;
}

function element(name, attributes, ...children) {
  const written = Object.entries(attributes).map(
    ([key, value]) => ` ${key}="${typeof value === "number" ? short(value) : escape(value)}"`,
  );
  return `<${name}${written.join("")}>${children.join("")}</${name}>`;
}

/** Right and down from the middle, from a bearing and a radius. */
function polar(bearing, radius) {
  const angle = (bearing * Math.PI) / 180;
  return [radius * Math.sin(angle), -radius * Math.cos(angle)];
}

const line = ([x1, y1], [x2, y2], look) => element("line", { x1, y1, x2, y2, class: look });

function onRim(words, bearing, radius, look) {
  const aside =
    Math.max(0, words.length - 3) * OUTWARDS * Math.abs(Math.sin((bearing * Math.PI) / 180));
  const [x, y] = polar(bearing, radius + aside);
  const place = { x, y, class: look, "text-anchor": "middle", "dominant-baseline": "central" };
  return element("text", place, escape(words));
}

function ticks([circle, tick, long, figure]) {
  const parts = [];
  for (let number = 0; number < circle; number += tick) {
    const isLong = number % long === 0;
    const depth = number % figure === 0 ? 12 : isLong ? 9 : 4;
    const degree = (number * 360) / circle;
    const ends = [RING, RING - depth].map((radius) => polar(degree, radius));
    parts.push(line(...ends, isLong ? "tick tick-ten" : "tick"));
  }
  return parts;
}

function figures([circle, , , figure]) {
  const parts = [];
  for (let number = 0; number < circle; number += figure) {
    const degree = (number * 360) / circle;
    const isClear = [0, 90, 180, 270].every(
      (letter) => Math.abs(difference(degree, letter)) >= CLEAR_DEG,
    );
    if (isClear) parts.push(onRim(String(number), degree, 110, "figure"));
  }
  return parts;
}

/** A ring's part between two bearings, clockwise. */
function sector(from, to, inner, outer, look) {
  const large = to - from > 180 ? 1 : 0;
  const [a, b] = [from, to].map((bearing) => polar(bearing, outer).map(short).join(" "));
  const [c, d] = [to, from].map((bearing) => polar(bearing, inner).map(short).join(" "));
  const path =
    `M${a}A${outer} ${outer} 0 ${large} 1 ${b}` + `L${c}A${inner} ${inner} 0 ${large} 0 ${d}Z`;
  return element("path", { d: path, class: look });
}

function answered({ answer, full, part }) {
  const bands = [
    [part, "band-part"],
    [full, "band-full"],
  ].map(([limit, look]) => {
    const half = Math.min(limit, 179.9);
    return sector(answer - half, answer + half, 8, FACE, look);
  });
  const head = [
    [0, RING + 2],
    [-4.5, FACE - 2],
    [4.5, FACE - 2],
  ].map(([turn, radius]) =>
    polar(answer + turn, radius)
      .map(short)
      .join(","),
  );
  return [
    ...bands,
    line([0, 0], polar(answer, RING - 4), "ray-answer"),
    element("polygon", { points: head.join(" "), class: "head-answer" }),
  ];
}

function given({ reading }) {
  const [cx, cy] = polar(reading, FACE - 8);
  return [
    line([0, 0], [cx, cy], "ray-reading"),
    element("circle", { cx, cy, r: 6, class: "head-reading" }),
  ];
}

/**
 * A dial as the text of an SVG.
 * @param {{answer: number, full: number, part: number, reading: number, unit: string,
 *   letters: string[], label: string}} numbers answer and reading in degrees with the two bands,
 *   the unit in which the dial is marked, the letters of the four winds, and what it shows in words
 */
export function dial(numbers) {
  const scale = SCALES[numbers.unit];
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: "-120 -120 240 240",
      role: "img",
      class: "dial",
    },
    element("title", {}, escape(numbers.label)),
    element("circle", { r: RING, class: "ring" }),
    element("circle", { r: FACE, class: "face" }),
    ...ticks(scale),
    ...numbers.letters.map((letter, place) => onRim(letter, 90 * place, 111, "cardinal")),
    ...figures(scale),
    ...answered(numbers),
    ...given(numbers),
    element("circle", { r: 3, class: "hub" }),
  );
}
