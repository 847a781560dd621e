/** The map of a site over its own plan: points that can be moved with undo, lines with bearing and length, ellipses to scale, tiles below where there are any. */
import { bearingAndLength, ellipse, moved, eastNorth, threeDigits } from "./ground.js";
import { find } from "./dom.js";
import { besides } from "./labels.js";
import { say } from "./words.js";

const L = globalThis.L;
const ground = JSON.parse(document.getElementById("map").textContent);
const places = new Map(ground.points.map((point) => [point.code, point.at]));
const layers = { ellipses: new Map(), lines: [], markers: new Map() };
const history = [];
let chosen = null;

const frame = find("map-frame");
frame.hidden = false;
const map = L.map(find("map"), { zoomSnap: 0.25, attributionControl: Boolean(ground.tiles), scrollWheelZoom: false, maxZoom: 22, zoomControl: false });
L.control.zoom({ zoomInTitle: say("Nearer"), zoomOutTitle: say("Farther") }).addTo(map);
L.control.scale({ imperial: false }).addTo(map);
map.attributionControl?.setPrefix(false);
map.setView(ground.middle, 16);

const text = (words) => document.createTextNode(words);
const told = (words) => {
  if (find("said")) find("said").textContent = words;
};

if (ground.tiles) {
  const tiles = L.tileLayer(ground.tiles.url, { attribution: new Option(ground.tiles.credit).innerHTML, maxZoom: 22, maxNativeZoom: 19 }).addTo(map);
  tiles.once("tileerror", () => told(say("The background map does not answer. Points, lines and scale are right without it.")));
}

for (const hazard of ground.hazards) {
  const className = `hazard${hazard.danger ? " hazard-danger" : ""}${hazard.area ? " hazard-area" : ""}`;
  const options = { className, interactive: true };
  const shape = hazard.corners.length === 1 ? L.circleMarker(hazard.corners[0], { ...options, radius: 7 }) : hazard.area ? L.polygon(hazard.corners, options) : L.polyline(hazard.corners, options);
  shape.bindTooltip(text(hazard.name), { sticky: true }).addTo(map);
}

/** What a line is: its code, bearing and length as the points stand now. */
function lineText([station, target]) {
  const line = bearingAndLength(places.get(station), places.get(target));
  return say("{station} → {target}: {bearing}° true, {metres} m", { station, target, bearing: threeDigits(line.bearing), metres: Math.round(line.length) });
}

for (const pair of ground.lines) {
  const line = L.polyline(pair.map((code) => places.get(code)), { className: "sight-line", interactive: true, weight: 8 }).addTo(map);
  line.bindTooltip(() => text(lineText(pair)), { sticky: true });
  layers.lines.push({ pair, line });
}

/** The lines of a point, named where somebody stands there: on the map while they are few, below it always. */
function choose(code) {
  chosen = code;
  for (const { pair, line } of layers.lines) {
    const own = pair[0] === code;
    line.getElement()?.classList.toggle("sight-line-chosen", own);
  }
  for (const label of layers.labels ?? []) label.remove();
  const own = ground.lines.filter(([station]) => station === code);
  layers.labels = own.map((pair) => {
    const [from, to] = pair.map((end) => places.get(end));
    const line = bearingAndLength(from, to);
    const at = [from[0] + 0.62 * (to[0] - from[0]), from[1] + 0.62 * (to[1] - from[1])];
    const label = document.createElement("span");
    label.textContent = `${threeDigits(line.bearing)}° ${Math.round(line.length)} m`;
    return L.marker(at, { interactive: false, keyboard: false, icon: L.divIcon({ className: "map-line-label", html: label, iconSize: null }) }).addTo(map);
  });
  const point = ground.points.find((one) => one.code === code);
  told([`${point.code} ${point.name}.`, ...own.map((pair) => `${lineText(pair)}.`)].join(" "));
}

function redraw(code) {
  layers.markers.get(code).setLatLng(places.get(code));
  layers.ellipses.get(code)?.setLatLngs(ellipse(places.get(code), ground.points.find((point) => point.code === code).ellipse));
  for (const { pair, line } of layers.lines) if (pair.includes(code)) line.setLatLngs(pair.map((end) => places.get(end)));
}

const moving = () => find("move")?.getAttribute("aria-pressed") === "true";
const first = new Map();

/** Puts a point elsewhere, so that it can be undone; nothing is stored until “Save”. */
function put(code, place, { again = false } = {}) {
  if (!first.has(code)) first.set(code, places.get(code));
  if (!again) history.push([code, places.get(code)]);
  places.set(code, place);
  redraw(code);
  offered();
  if (chosen === code) choose(code);
  const [east, north] = eastNorth(first.get(code), place);
  told(say("{code} is {metres} m from where it was. Nothing is stored yet.", { code, metres: Math.hypot(east, north).toFixed(1) }));
}

const moves = () => [...first].filter(([code, place]) => places.get(code) !== place).map(([code]) => [code, ...places.get(code)]);

function offered() {
  const found = moves();
  find("undo").hidden = history.length === 0;
  find("moves").hidden = found.length === 0;
  find("moves").elements.moves.value = JSON.stringify(found);
}

function undo() {
  const last = history.pop();
  if (!last) return;
  const [code, place] = last;
  places.set(code, place);
  redraw(code);
  offered();
  if (chosen === code) choose(code);
  told(say("{code} is back a step.", { code }));
}

const STEPS = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };

function onKey(event, code) {
  if (event.key === "Enter" || event.key === " ") choose(code);
  const step = STEPS[event.key];
  if (!step || !moving()) return;
  event.preventDefault();
  event.stopPropagation();
  const size = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
  put(code, moved(places.get(code), step[0] * size, step[1] * size));
}

for (const point of ground.points) {
  if (Math.max(point.ellipse[0], point.ellipse[1]) > 0) {
    layers.ellipses.set(point.code, L.polygon(ellipse(point.at, point.ellipse), { className: "ellipse", interactive: false }).addTo(map));
  }
  const icon = document.createElement("span");
  icon.className = point.station ? "map-station" : "map-target";
  const name = document.createElement("span");
  name.className = "map-code";
  name.textContent = point.code;
  const both = document.createElement("span");
  both.append(icon, name);
  const marker = L.marker(point.at, { icon: L.divIcon({ className: "map-point", html: both, iconSize: [44, 44] }), draggable: false, keyboard: true, title: `${point.code} ${point.name}`, alt: `${point.code} ${point.name}` }).addTo(map);
  layers.markers.set(point.code, marker);
  marker.on("click", () => choose(point.code));
  marker.on("dragstart", () => history.push([point.code, places.get(point.code)]));
  marker.on("drag dragend", () => {
    const { lat, lng } = marker.getLatLng();
    put(point.code, [lat, lng], { again: true });
  });
  marker.getElement().addEventListener("keydown", (event) => onKey(event, point.code));
}

/** Codes beside their points, none on another: placed anew whenever the scale changes. */
function label() {
  const spots = new Map([...places].map(([code, place]) => [code, Object.values(map.latLngToLayerPoint(place))]));
  for (const [code, [dx, dy]] of besides(spots, (one) => 11 * one.length, 20, 11)) {
    const style = layers.markers.get(code).getElement().querySelector(".map-code").style;
    style.left = `${22 + dx}px`;
    style.top = `${22 + dy}px`;
  }
}
map.on("zoomend", label);

const bounds = L.latLngBounds([...places.values(), ...ground.hazards.flatMap((hazard) => hazard.corners)]);
if (bounds.isValid()) map.fitBounds(bounds, { padding: [26, 26], maxZoom: 19 });
label();

find("move")?.addEventListener("click", () => {
  const on = !moving();
  find("move").setAttribute("aria-pressed", String(on));
  frame.classList.toggle("map-moving", on);
  for (const marker of layers.markers.values()) marker.dragging[on ? "enable" : "disable"]();
  told(on ? say("Drag a point, or choose one and use the arrow keys: a metre, ten with Shift, a tenth with Alt. Ctrl+Z undoes.") : "");
});
if (find("moves")) find("undo").addEventListener("click", undo);
document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && history.length && !/^(INPUT|TEXTAREA)$/.test(event.target.tagName)) {
    event.preventDefault();
    undo();
  }
});
globalThis.addEventListener("beforeunload", (event) => {
  if (moves().length && !find("moves")?.dataset.sent) event.preventDefault();
});
find("moves")?.addEventListener("submit", () => {
  find("moves").dataset.sent = "yes";
});

/** Drawing a hazard: each tap is a corner, written into the form's own text. */
const corners = document.querySelector("[data-corners]");
if (corners) {
  const dots = L.layerGroup().addTo(map);
  const read = () => corners.value.split("\n").map((line) => line.trim()).filter(Boolean);
  const show = () => {
    dots.clearLayers();
    const found = read().map((line) => places.get(line.toUpperCase()) ?? line.split(",").map(Number)).filter((place) => place.length === 2 && place.every(Number.isFinite));
    if (found.length > 1) L.polyline(found, { className: "hazard hazard-danger", interactive: false }).addTo(dots);
    for (const place of found) L.circleMarker(place, { radius: 5, className: "drawn-corner", interactive: false }).addTo(dots);
    find("undo").disabled = read().length === 0;
  };
  map.on("click", ({ latlng }) => {
    corners.value = [...read(), `${latlng.lat.toFixed(6)}, ${latlng.lng.toFixed(6)}`].join("\n");
    show();
  });
  find("undo").addEventListener("click", () => {
    corners.value = read().slice(0, -1).join("\n");
    show();
  });
  corners.addEventListener("input", show);
  show();
}
