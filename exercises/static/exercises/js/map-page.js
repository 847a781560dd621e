/**
 * The map of a site over its own plan: points that can be moved with undo, lines with bearing and
 * length, ellipses to scale, tiles below where there are any.
 */
import { drawn, find } from "./dom.js";
import { bearingAndLength, eastNorth, ellipse, moved, threeDigits } from "./ground.js";
import { hazardDrawing } from "./hazard-drawing.js";
import { lineChoosing } from "./line-choosing.js";
import { ICON_PX, labelPoints } from "./map-labels.js";
import { say } from "./words.js";

const { L } = globalThis;
const SNAP_PX = 14;
const TIMES_95 = 2.4477; // the ellipses that come with the page hold 95 %
const ROOM_PX = 34; // between the outermost points and the frame: a sign, and half of a label
const STEPS = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
const ground = JSON.parse(document.getElementById("map").textContent);
const points = new Map(ground.points.map((point) => [point.code, point]));
const places = new Map(ground.points.map((point) => [point.code, beside(point.at)]));
const firstPlaces = new Map(); // where points that were moved stood at first
const history = [];
const layers = { ellipses: new Map(), lines: [], markers: new Map() };
let chosen = ground.station ?? null;

/** An angle in [0, 360). */
function turned(degrees) {
  return ((degrees % 360) + 360) % 360;
}

/** A longitude beside the middle of the site, also where the antimeridian runs through it. */
function beside([latitude, longitude]) {
  const middle = ground.middle[1];
  return [latitude, middle + turned(longitude - middle + 180) - 180];
}

/** A longitude back in -180 to 180. */
const wrapped = ([latitude, longitude]) => [latitude, turned(longitude + 180) - 180];

const textNode = (words) => document.createTextNode(words);

function tell(words) {
  if (find("said")) find("said").textContent = words;
}

function makeMap() {
  find("map-frame").hidden = false;
  const isCalm = globalThis.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const made = L.map(find("map"), {
    zoomSnap: 0.25,
    attributionControl: Boolean(ground.tiles),
    scrollWheelZoom: false,
    doubleClickZoom: false, // two taps on two points, one right after the other, are no wish to zoom
    maxZoom: 22,
    zoomControl: false,
    zoomAnimation: !isCalm,
    fadeAnimation: !isCalm,
  });
  L.control.zoom({ zoomInTitle: say("Nearer"), zoomOutTitle: say("Farther") }).addTo(made);
  const isMetric = ground.lengths.sign === "m";
  L.control.scale({ metric: isMetric, imperial: !isMetric }).addTo(made);
  made.attributionControl?.setPrefix(false);
  made.setView(ground.middle, 16);
  return made;
}

function addTiles({ url, credit }) {
  const attribution = new Option(credit).innerHTML;
  const tiles = L.tileLayer(url, { attribution, maxZoom: 22, maxNativeZoom: 19 }).addTo(map);
  tiles.once("tileerror", () =>
    tell(say("The background map does not answer. Points, lines and scale are right without it.")),
  );
}

function hazardShape(corners, area, options) {
  if (corners.length === 1) return L.circleMarker(corners[0], { ...options, radius: 7 });
  return area ? L.polygon(corners, options) : L.polyline(corners, options);
}

function addHazard({ name, danger, area, corners }) {
  const classes = ["hazard", danger && "hazard-danger", area && "hazard-area"];
  const options = { className: classes.filter(Boolean).join(" "), interactive: true };
  const shape = hazardShape(corners.map(beside), area, options);
  shape.bindTooltip(textNode(name), { sticky: true }).addTo(map);
}

/** Bearing and length of a line as its points stand now, as they are said: in metres, or in feet. */
function measure(station, target) {
  const line = bearingAndLength(places.get(station), places.get(target));
  const { worth_m: worth, sign } = ground.lengths;
  return {
    bearing: threeDigits(line.bearing),
    length: `${Math.round(line.length / worth)} ${sign}`,
  };
}

/** What a line is: its code, bearing and length. */
function lineText([station, target]) {
  const values = { station, target, ...measure(station, target) };
  return say("{station} → {target}: {bearing}° true, {length}", values);
}

function addLine(pair) {
  const isChosen = pair[0] === ground.station;
  const classes = ["sight-line", isChosen && "sight-line-chosen"].filter(Boolean).join(" ");
  const options = { className: classes, interactive: true, weight: 8 };
  const ends = pair.map((code) => places.get(code));
  const line = L.polyline(ends, options).addTo(map);
  line.bindTooltip(() => textNode(lineText(pair)), { sticky: true });
  layers.lines.push({ pair, line });
}

/**
 * Bearing and length from the chosen station to a target, or "" where it is not seen from there.
 */
function measured(target) {
  if (!ground.lines.some(([station, end]) => station === chosen && end === target)) return "";
  const { bearing, length } = measure(chosen, target);
  return `${bearing}° ${length}`;
}

/** What is said of a chosen point: its lines, or that it is a station without any. */
function pointWords(code) {
  const { name, note } = points.get(code);
  const lines = ground.lines
    .filter(([station]) => station === code)
    .map(([, target]) => `${target} ${measured(target)}`)
    .join(", ");
  if (lines) return say("{code} {name}, true: {lines}.", { code, name, lines });
  if (note) return say("{code} {name}: no sight line is noted from here.", { code, name });
  return `${code} ${name}.`;
}

/** Offers to change the lines of a station, by the address that the list of points has for it. */
function offerToChange(code) {
  const listed = document.querySelector(`[data-lines-of="${code}"]`);
  const link = find("change");
  if (!link) return;
  link.hidden = !listed;
  if (!listed) return;
  link.href = listed.href;
  link.textContent = say("Change what {code} sees", { code });
}

function markChosen() {
  for (const [code, marker] of layers.markers) {
    marker.getElement().classList.toggle("map-chosen", code === chosen);
  }
}

/**
 * Shows the lines of a point: drawn strongly, with bearing and length beside each target, and said
 * below the map.
 */
function choose(code) {
  chosen = code;
  for (const { pair, line } of layers.lines) {
    line.getElement()?.classList.toggle("sight-line-chosen", pair[0] === code);
  }
  markChosen();
  label();
  tell(pointWords(code));
  offerToChange(code);
}

/** Draws the lines of the chosen station anew, to the targets of some codes, out of all. */
function drawLines(codes, all) {
  for (const { line } of layers.lines.splice(0)) line.remove();
  ground.lines = [...codes].map((code) => [chosen, code]);
  ground.lines.forEach(addLine);
  for (const code of all) {
    layers.markers.get(code).getElement().setAttribute("aria-pressed", codes.has(code));
  }
  label();
}

/** Draws how far round the chosen station everything is seen. */
function drawReach(metres) {
  layers.reach?.remove();
  if (!(metres > 0)) return;
  const outline = ellipse(places.get(chosen), [metres, metres, 0], 90);
  const options = { className: "reach-ring", interactive: false, fill: false };
  layers.reach = L.polygon(outline, options).addTo(map);
}

/** A point that was tapped, or chosen with a key: its lines, or the line to it. */
function select(code) {
  if (!choosing) choose(code);
  else if (choosing.codes.has(code)) choosing.toggle(code);
  else tell(say("No line leads to {code}. Tap a target.", { code }));
}

/** Shows a point where it stands now, with all that hangs on it. */
function redraw(code) {
  const place = places.get(code);
  layers.markers.get(code).setLatLng(place);
  layers.ellipses.get(code)?.setLatLngs(ellipse(place, points.get(code).ellipse));
  for (const { pair, line } of layers.lines) {
    if (pair.includes(code)) line.setLatLngs(pair.map((end) => places.get(end)));
  }
  offerToSave();
  if (chosen === code) choose(code);
}

const moving = () => find("move")?.getAttribute("aria-pressed") === "true";

/** How far a point has been moved, and what that means for how well it is known. */
function movedWords(code) {
  const [east, north] = eastNorth(firstPlaces.get(code), places.get(code));
  const metres = Math.hypot(east, north).toFixed(1);
  const words = [
    say("{code} is {metres} m from where it was. Nothing is stored yet.", { code, metres }),
  ];
  const known = points.get(code).ellipse[0] / TIMES_95;
  if (known < Number(find("moves").elements.accuracy_m.value)) {
    const values = { metres: known.toFixed(known < 1 ? 2 : 1) };
    words.push(say("It is known to {metres} m: moved by hand it will be known less well.", values));
  }
  return words.join(" ");
}

/** Puts a point elsewhere; nothing is stored until “Save”. */
function put(code, place) {
  if (!firstPlaces.has(code)) firstPlaces.set(code, places.get(code));
  places.set(code, place);
  redraw(code);
  tell(movedWords(code));
}

/** Notes where a point stands, so that its next move can be undone. */
const noteStep = (code) => history.push([code, places.get(code)]);

const moves = () =>
  [...firstPlaces]
    .filter(([code, place]) => places.get(code) !== place)
    .map(([code]) => [code, ...wrapped(places.get(code))]);

function offerToSave() {
  const changed = moves();
  find("undo").hidden = history.length === 0;
  find("moves").hidden = changed.length === 0;
  find("moves").elements.moves.value = JSON.stringify(changed);
}

function undo() {
  const last = history.pop();
  if (!last) return;
  const [code, place] = last;
  places.set(code, place);
  redraw(code);
  tell(say("{code} is back a step.", { code }));
}

function onKey(event, code) {
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    select(code);
  }
  const step = STEPS[event.key];
  if (!step || !moving()) return;
  event.preventDefault();
  event.stopPropagation();
  const size = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
  noteStep(code);
  put(code, beside(moved(places.get(code), step[0] * size, step[1] * size)));
}

function span(className, ...parts) {
  const made = document.createElement("span");
  made.className = className;
  made.append(...parts);
  return made;
}

function makeMarker({ code, name, sign, note }) {
  const icon = span("map-sign", drawn(ground.signs[sign]));
  const noted = note ? [" ", span("map-note", note)] : [];
  const words = span("map-code", code, ...noted, " ", span("map-measured"));
  const both = document.createElement("span");
  both.append(icon, words);
  return L.marker(places.get(code), {
    icon: L.divIcon({ className: "map-point", html: both, iconSize: [ICON_PX, ICON_PX] }),
    draggable: false,
    keyboard: true,
    title: [code, name, note].filter(Boolean).join(" "),
    alt: `${code} ${name}`,
  });
}

function addPoint(point) {
  const { code } = point;
  if (Math.max(point.ellipse[0], point.ellipse[1]) > 0) {
    const outline = ellipse(places.get(code), point.ellipse);
    const options = { className: "ellipse", interactive: false };
    layers.ellipses.set(code, L.polygon(outline, options).addTo(map));
  }
  const marker = makeMarker(point).addTo(map);
  layers.markers.set(code, marker);
  marker.on("click", ({ originalEvent }) => tapped(originalEvent));
  marker.on("dragstart", () => noteStep(code));
  marker.on("drag dragend", () => {
    const { lat, lng } = marker.getLatLng();
    put(code, [lat, lng]);
  });
  marker.getElement().addEventListener("keydown", (event) => onKey(event, code));
}

/** Placed anew whenever the scale or what is chosen changes. */
const label = () => labelPoints(map, layers.markers, places, measured);

const cornerText = ({ lat, lng }) =>
  wrapped([lat, lng])
    .map((degrees) => degrees.toFixed(6))
    .join(", ");

/** The place of a corner: a point's code, or latitude and longitude. */
const cornerPlace = (line) => places.get(line.toUpperCase()) ?? beside(line.split(",").map(Number));

/** A finger is wider than the gaps between points: what is nearest to its middle was meant. */
function tapped(event) {
  const at = map.mouseEventToLatLng(event);
  const tap = map.latLngToContainerPoint(at);
  const far = (code) => map.latLngToContainerPoint(places.get(code)).distanceTo(tap);
  const nearest = [...places.keys()].reduce((best, code) => (far(code) < far(best) ? code : best));
  if (addCorner) addCorner(far(nearest) < SNAP_PX ? nearest : cornerText(at));
  else select(nearest);
}

/** Everything at once, without the flight there: codes could lie on one another on the way. */
function showAll() {
  const corners = ground.hazards.flatMap((hazard) => hazard.corners.map(beside));
  const bounds = L.latLngBounds([...places.values(), ...corners]);
  const options = { padding: [ROOM_PX, ROOM_PX], maxZoom: 19, animate: false };
  if (bounds.isValid()) map.fitBounds(bounds, options);
}

function movingWords() {
  return globalThis.matchMedia("(pointer: coarse)").matches
    ? say("Drag a point. “Undo” takes the last step back.")
    : say(
        "Drag a point, or choose one and use the arrow keys: a metre, ten with Shift, a tenth with Alt. Ctrl+Z undoes.",
      );
}

function switchMoving() {
  const on = !moving();
  find("move").setAttribute("aria-pressed", String(on));
  find("map-frame").classList.toggle("map-moving", on);
  for (const marker of layers.markers.values()) marker.dragging[on ? "enable" : "disable"]();
  tell(on ? movingWords() : "");
}

function onUndoKey(event) {
  const isUndo = (event.ctrlKey || event.metaKey) && event.key === "z";
  const isTyping = /^(INPUT|TEXTAREA)$/.test(event.target.tagName);
  if (!isUndo || isTyping || !history.length) return;
  event.preventDefault();
  undo();
}

function listenToMoves() {
  const form = find("moves");
  let isSent = false;
  find("move").addEventListener("click", switchMoving);
  find("undo").addEventListener("click", undo);
  document.addEventListener("keydown", onUndoKey);
  form.addEventListener("submit", () => {
    isSent = true;
  });
  globalThis.addEventListener("beforeunload", (event) => {
    if (moves().length && !isSent) event.preventDefault();
  });
}

function chooseLines() {
  const textOf = (code) => {
    const values = measure(chosen, code);
    return say("{bearing}° true, {length}", values);
  };
  return lineChoosing({ draw: drawLines, drawReach, textOf, tell });
}

const map = makeMap();
if (ground.tiles) addTiles(ground.tiles);
ground.hazards.forEach(addHazard);
ground.lines.forEach(addLine);
ground.points.forEach(addPoint);
map.on("zoomend moveend", label);
showAll();
markChosen();
label();
if (find("moves")) listenToMoves();
const addCorner = find("corners")
  ? hazardDrawing(map, { placeOf: cornerPlace, textOf: cornerText })
  : null;
const choosing = find("lines") ? chooseLines() : null;
if (points.has(ground.chosen)) choose(ground.chosen);
