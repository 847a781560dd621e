/**
 * A map of the world that needs no network: the outline of land and the largest towns of what is
 * seen, both from this server; tiles below them where there are any.
 */
import { drawn } from "./dom.js";
import { outline } from "./outline.js";
import { say } from "./words.js";

const { L } = globalThis;
const NEAREST = 12; // a tap goes no nearer by itself
const STEP = 3;
const WORLD_PX = 256; // at scale 0
const CROSS_PX = 44;
const CROSS =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-22 -22 44 44"><path d="M-16 0H16M0-16V16"/><circle r="9"/></svg>';

/** A longitude in -180 to 180. */
export const wrapped = (longitude) => ((((longitude + 180) % 360) + 360) % 360) - 180;

/** How many decimals of a degree a tap is good for: a pixel, no finer. */
const decimals = (zoom) => Math.min(5, Math.max(1, Math.round(zoom / 3)));

function made(element, tiles) {
  const isCalm = globalThis.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const map = L.map(element, {
    attributionControl: Boolean(tiles),
    scrollWheelZoom: false,
    doubleClickZoom: false,
    zoomControl: false,
    maxZoom: tiles ? 17 : 13,
    zoomSnap: 0.25,
    minZoom: Math.ceil(4 * Math.log2(element.clientWidth / WORLD_PX)) / 4, // once round, no more
    zoomAnimation: !isCalm,
    fadeAnimation: !isCalm,
  });
  L.control.zoom({ zoomInTitle: say("Nearer"), zoomOutTitle: say("Farther") }).addTo(map);
  L.control.scale({ imperial: false }).addTo(map);
  map.attributionControl?.setPrefix(false);
  return map.setView([20, 10], map.getMinZoom());
}

/** Tiles where there are any; the land where there are none, or they do not answer. */
function addGround(map, tiles, land) {
  if (!tiles) {
    addLand(map, land);
    return;
  }
  const attribution = new Option(tiles.credit).innerHTML;
  const layer = L.tileLayer(tiles.url, { attribution, maxZoom: 17 }).addTo(map);
  layer.once("tileerror", () => addLand(map, land));
}

/** Draws the land three times over, so that it can be panned across the antimeridian. */
async function addLand(map, address) {
  const file = await fetch(address).catch(() => null);
  if (!file?.ok) return; // no connection to the server: typing goes on
  const polygons = (await file.json()).map((rings) => rings.map(outline));
  const turned = (degrees) => (rings) =>
    rings.map((ring) => ring.map(([y, x]) => [y, x + degrees]));
  const all = [-360, 0, 360].flatMap((degrees) => polygons.map(turned(degrees)));
  L.polygon(all, { className: "map-land", interactive: false, smoothFactor: 1.5 })
    .addTo(map)
    .bringToBack();
}

/** Shows the largest towns of what is seen, anew after each move. */
function showTowns(map, address) {
  const layer = L.layerGroup().addTo(map);
  let turn = 0;
  const show = async () => {
    const own = ++turn;
    const towns = await townsIn(map.getBounds(), address);
    if (own !== turn) return; // moved on meanwhile
    layer.clearLayers();
    for (const [name, latitude, longitude] of towns) {
      const words = document.createTextNode(name);
      const options = { permanent: true, direction: "auto", className: "map-town-name" };
      L.circleMarker([latitude, longitude], {
        radius: 3,
        className: "map-town",
        interactive: false,
      })
        .bindTooltip(words, { ...options, offset: [4, 0] })
        .addTo(layer);
    }
  };
  map.on("moveend", show);
  show();
}

/** The towns of a stretch of map, at the longitudes at which it shows them. */
async function townsIn(bounds, address) {
  const west = wrapped(bounds.getWest());
  const turns = bounds.getWest() - west;
  const box = {
    south: Math.max(-90, bounds.getSouth()),
    west,
    north: Math.min(90, bounds.getNorth()),
    east: west + Math.min(360, bounds.getEast() - bounds.getWest()),
  };
  try {
    const answer = await fetch(`${address}?${new URLSearchParams(box)}`);
    const { towns } = await answer.json();
    return towns.map(([name, latitude, longitude]) => {
      const beside = west + ((((longitude - west) % 360) + 360) % 360);
      return [name, latitude, beside + turns];
    });
  } catch {
    return []; // no connection to the server: the land is there all the same
  }
}

/**
 * A map in an element. `onPlace` gets [latitude, longitude] and the decimals that they are good for
 * whenever somebody taps, or drags the cross. Gives a function that puts the cross somewhere.
 */
export function worldMap(element, { land, towns, tiles }, onPlace) {
  const map = made(element, tiles);
  addGround(map, tiles, land);
  showTowns(map, towns);
  const icon = L.divIcon({
    className: "map-cross",
    html: drawn(CROSS),
    iconSize: [CROSS_PX, CROSS_PX],
  });
  const cross = L.marker([0, 0], { icon, draggable: true, keyboard: false, alt: "" });
  const tell = ({ lat, lng }) => onPlace([lat, wrapped(lng)], decimals(map.getZoom()));
  map.on("click", ({ latlng }) => {
    cross.setLatLng(latlng).addTo(map);
    tell(latlng);
    if (map.getZoom() < NEAREST) map.setView(latlng, Math.min(NEAREST, map.getZoom() + STEP));
  });
  cross.on("dragend", () => tell(cross.getLatLng()));
  return (at, zoom) => {
    cross.setLatLng(at).addTo(map);
    map.setView(at, Math.max(map.getZoom(), zoom));
  };
}
