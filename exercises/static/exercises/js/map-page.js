/**
 * The map of a site over its own plan: points that can be moved with undo, lines with bearing and
 * length, ellipses to scale, tiles below where there are any.
 */
import { bearingAndLength, ellipse, moved, eastNorth, threeDigits } from "./ground.js";
import { find } from "./dom.js";
import { besides } from "./labels.js";
import { say } from "./words.js";

const L = globalThis.L;
const ground = JSON.parse(document.getElementById("map").textContent);
/**
 * A longitude beside the middle of the site, also where the antimeridian runs through it; and back
 * into -180 to 180.
 */
const beside = ([latitude, longitude]) => [
  latitude,
  ground.middle[1] + ((((longitude - ground.middle[1] + 180) % 360) + 360) % 360) - 180,
];
const wrapped = ([latitude, longitude]) => [
  latitude,
  ((((longitude + 180) % 360) + 360) % 360) - 180,
];
for (const point of ground.points) point.at = beside(point.at);
for (const hazard of ground.hazards) hazard.corners = hazard.corners.map(beside);
const places = new Map(ground.points.map((point) => [point.code, point.at]));
const layers = { ellipses: new Map(), lines: [], markers: new Map() };
const SNAP_PX = 14;
const TIMES_95 = 2.4477; // the ellipses that come with the page hold 95 %
const history = [];
const corners = document.querySelector("[data-corners]");
let chosen = null;

const frame = find("map-frame");
frame.hidden = false;
const map = L.map(find("map"), {
  zoomSnap: 0.25,
  attributionControl: Boolean(ground.tiles),
  scrollWheelZoom: false,
  maxZoom: 22,
  zoomControl: false,
});
L.control.zoom({ zoomInTitle: say("Nearer"), zoomOutTitle: say("Farther") }).addTo(map);
L.control.scale({ imperial: false }).addTo(map);
map.attributionControl?.setPrefix(false);
map.setView(ground.middle, 16);

const text = (words) => document.createTextNode(words);
const told = (words) => {
  if (find("said")) find("said").textContent = words;
};

if (ground.tiles) {
  const tiles = L.tileLayer(ground.tiles.url, {
    attribution: new Option(ground.tiles.credit).innerHTML,
    maxZoom: 22,
    maxNativeZoom: 19,
  }).addTo(map);
  tiles.once("tileerror", () =>
    told(say("The background map does not answer. Points, lines and scale are right without it.")),
  );
}

for (const hazard of ground.hazards) {
  const className = `hazard${hazard.danger ? " hazard-danger" : ""}${hazard.area ? " hazard-area" : ""}`;
  const options = { className, interactive: true };
  const shape =
    hazard.corners.length === 1
      ? L.circleMarker(hazard.corners[0], { ...options, radius: 7 })
      : hazard.area
        ? L.polygon(hazard.corners, options)
        : L.polyline(hazard.corners, options);
  shape.bindTooltip(text(hazard.name), { sticky: true }).addTo(map);
}

/** What a line is: its code, bearing and length as the points stand now. */
function lineText([station, target]) {
  const line = bearingAndLength(places.get(station), places.get(target));
  return say("{station} → {target}: {bearing}° true, {metres} m", {
    station,
    target,
    bearing: threeDigits(line.bearing),
    metres: Math.round(line.length),
  });
}

for (const pair of ground.lines) {
  const line = L.polyline(
    pair.map((code) => places.get(code)),
    { className: "sight-line", interactive: true, weight: 8 },
  ).addTo(map);
  line.bindTooltip(() => text(lineText(pair)), { sticky: true });
  layers.lines.push({ pair, line });
}

/**
 * Shows the lines of a point: drawn strongly, with bearing and length beside each target, and said
 * below the map.
 */
function choose(code) {
  chosen = code;
  for (const { pair, line } of layers.lines)
    line.getElement()?.classList.toggle("sight-line-chosen", pair[0] === code);
  label();
  const point = ground.points.find((one) => one.code === code);
  const own = ground.lines
    .filter(([station]) => station === code)
    .map(([, target]) => `${target} ${measured(target)}`);
  told(
    own.length
      ? say("{code} {name}, true: {lines}.", { code, name: point.name, lines: own.join(", ") })
      : `${code} ${point.name}.`,
  );
}

/**
 * Bearing and length from the chosen station to a target, or nothing where it is not seen from
 * there.
 */
function measured(target) {
  if (!ground.lines.some(([station, end]) => station === chosen && end === target)) return "";
  const line = bearingAndLength(places.get(chosen), places.get(target));
  return `${threeDigits(line.bearing)}° ${Math.round(line.length)} m`;
}

function redraw(code) {
  layers.markers.get(code).setLatLng(places.get(code));
  layers.ellipses
    .get(code)
    ?.setLatLngs(
      ellipse(places.get(code), ground.points.find((point) => point.code === code).ellipse),
    );
  for (const { pair, line } of layers.lines)
    if (pair.includes(code)) line.setLatLngs(pair.map((end) => places.get(end)));
}

const read = () =>
  corners.value
    .split("\n")
    .map((line) => line.trim())
    .filter(Boolean);

const cornerText = ({ lat, lng }) =>
  wrapped([lat, lng])
    .map((degrees) => degrees.toFixed(6))
    .join(", ");

/** One corner more in the form's own text. */
function cornered(line) {
  corners.value = [...read(), line].join("\n");
  corners.dispatchEvent(new Event("input"));
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
  const known = ground.points.find((one) => one.code === code).ellipse[0] / TIMES_95;
  told(
    [
      say("{code} is {metres} m from where it was. Nothing is stored yet.", {
        code,
        metres: Math.hypot(east, north).toFixed(1),
      }),
      ...(known < Number(find("moves").elements.accuracy_m.value)
        ? [
            say("It is known to {metres} m: moved by hand it will be known less well.", {
              metres: known.toFixed(known < 1 ? 2 : 1),
            }),
          ]
        : []),
    ].join(" "),
  );
}

const moves = () =>
  [...first]
    .filter(([code, place]) => places.get(code) !== place)
    .map(([code]) => [code, ...wrapped(places.get(code))]);

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
  put(code, beside(moved(places.get(code), step[0] * size, step[1] * size)));
}

for (const point of ground.points) {
  if (Math.max(point.ellipse[0], point.ellipse[1]) > 0) {
    layers.ellipses.set(
      point.code,
      L.polygon(ellipse(point.at, point.ellipse), {
        className: "ellipse",
        interactive: false,
      }).addTo(map),
    );
  }
  const icon = document.createElement("span");
  icon.className = point.station ? "map-station" : "map-target";
  const name = document.createElement("span");
  name.className = "map-code";
  name.append(
    point.code,
    " ",
    Object.assign(document.createElement("span"), { className: "map-measured" }),
  );
  const both = document.createElement("span");
  both.append(icon, name);
  const marker = L.marker(point.at, {
    icon: L.divIcon({ className: "map-point", html: both, iconSize: [44, 44] }),
    draggable: false,
    keyboard: true,
    title: `${point.code} ${point.name}`,
    alt: `${point.code} ${point.name}`,
  }).addTo(map);
  layers.markers.set(point.code, marker);
  marker.on("click", ({ originalEvent }) => tapped(originalEvent));
  marker.on("dragstart", () => history.push([point.code, places.get(point.code)]));
  marker.on("drag dragend", () => {
    const { lat, lng } = marker.getLatLng();
    put(point.code, [lat, lng], { again: true });
  });
  marker.getElement().addEventListener("keydown", (event) => onKey(event, point.code));
}

/** What of the map can be seen, in the pixels in which points are placed. */
function frameNow() {
  const { min, max } = map.getPixelBounds();
  const origin = map.getPixelOrigin();
  return [min.x - origin.x, min.y - origin.y, max.x - origin.x, max.y - origin.y];
}

/**
 * Codes beside their points, none on another: placed anew whenever the scale or the chosen station
 * changes.
 */
function label() {
  const words = new Map([...places.keys()].map((code) => [code, measured(code)]));
  const spots = new Map(
    [...places].map(([code, place]) => [code, Object.values(map.latLngToLayerPoint(place))]),
  );
  for (const [code, [dx, dy]] of besides(
    spots,
    (one) => 12 * one.length + 9.5 * words.get(one).length,
    20,
    11,
    frameNow(),
  )) {
    const shown = layers.markers.get(code).getElement().querySelector(".map-code");
    shown.style.left = `${22 + dx}px`;
    shown.style.top = `${22 + dy}px`;
    shown.lastChild.textContent = words.get(code);
  }
}
map.on("zoomend moveend", label);

/** A finger is wider than the gaps between points: what is nearest to its middle was meant. */
function tapped(event) {
  const at = map.mouseEventToLatLng(event);
  const tap = map.latLngToContainerPoint(at);
  const far = (code) => map.latLngToContainerPoint(places.get(code)).distanceTo(tap);
  const nearest = [...places.keys()].reduce((one, other) => (far(other) < far(one) ? other : one));
  if (!corners) choose(nearest);
  else cornered(far(nearest) < SNAP_PX ? nearest : cornerText(at));
}

const bounds = L.latLngBounds([
  ...places.values(),
  ...ground.hazards.flatMap((hazard) => hazard.corners),
]);
if (bounds.isValid()) map.fitBounds(bounds, { padding: [26, 26], maxZoom: 19 });
label();

find("move")?.addEventListener("click", () => {
  const on = !moving();
  find("move").setAttribute("aria-pressed", String(on));
  frame.classList.toggle("map-moving", on);
  for (const marker of layers.markers.values()) marker.dragging[on ? "enable" : "disable"]();
  const byHand = globalThis.matchMedia("(pointer: coarse)").matches;
  told(
    !on
      ? ""
      : byHand
        ? say("Drag a point. “Undo” takes the last step back.")
        : say(
            "Drag a point, or choose one and use the arrow keys: a metre, ten with Shift, a tenth with Alt. Ctrl+Z undoes.",
          ),
  );
});
if (find("moves")) find("undo").addEventListener("click", undo);
document.addEventListener("keydown", (event) => {
  if (
    (event.ctrlKey || event.metaKey) &&
    event.key === "z" &&
    history.length &&
    !/^(INPUT|TEXTAREA)$/.test(event.target.tagName)
  ) {
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

/**
 * Drawing a hazard: each tap is a corner, written into the form's own text; a tap on a point is its
 * code.
 */
if (corners) {
  const dots = L.layerGroup().addTo(map);
  const show = () => {
    dots.clearLayers();
    const found = read()
      .map((line) => places.get(line.toUpperCase()) ?? beside(line.split(",").map(Number)))
      .filter((place) => place.length === 2 && place.every(Number.isFinite));
    const area = document.querySelector("[name=is_area]").checked && found.length > 2;
    if (found.length > 1)
      L[area ? "polygon" : "polyline"](found, {
        className: `hazard hazard-danger${area ? " hazard-area" : ""}`,
        interactive: false,
      }).addTo(dots);
    for (const place of found)
      L.circleMarker(place, { radius: 5, className: "drawn-corner", interactive: false }).addTo(
        dots,
      );
    find("undo").disabled = read().length === 0;
  };
  map.on("click", ({ latlng }) => cornered(cornerText(latlng)));
  find("undo").addEventListener("click", () => {
    corners.value = read().slice(0, -1).join("\n");
    corners.dispatchEvent(new Event("input"));
  });
  corners.addEventListener("input", show);
  document.querySelector("[name=is_area]").addEventListener("change", show);
  show();
}
