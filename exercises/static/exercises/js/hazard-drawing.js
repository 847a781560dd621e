/**
 * Drawing a hazard on the map of a site: each tap is a corner, written into the form's own text.
 */
import { find } from "./dom.js";

const { L } = globalThis;

/**
 * Wires the drawing.
 * @param {object} map Leaflet's
 * @param {object} told `placeOf(line)` is the place that a line of the form means, `textOf(place)`
 *   the line for a place on the map
 * @returns {(line: string) => void} adds a corner
 */
export function hazardDrawing(map, { placeOf, textOf }) {
  const corners = find("corners");
  const isArea = document.querySelector("[name=is_area]");
  const drawn = L.layerGroup().addTo(map);

  const lines = () =>
    corners.value
      .split("\n")
      .map((line) => line.trim())
      .filter(Boolean);

  function write(changed) {
    corners.value = changed.join("\n");
    corners.dispatchEvent(new Event("input"));
  }

  function outline(places) {
    const area = isArea.checked && places.length > 2;
    const className = `hazard hazard-danger${area ? " hazard-area" : ""}`;
    return L[area ? "polygon" : "polyline"](places, { className, interactive: false });
  }

  function show() {
    const places = lines()
      .map(placeOf)
      .filter((place) => place.length === 2 && place.every(Number.isFinite));
    const options = { radius: 5, className: "drawn-corner", interactive: false };
    drawn.clearLayers();
    if (places.length > 1) outline(places).addTo(drawn);
    for (const place of places) L.circleMarker(place, options).addTo(drawn);
    find("undo").disabled = lines().length === 0;
  }

  const add = (line) => write([...lines(), line]);
  map.on("click", ({ latlng }) => add(textOf(latlng)));
  find("undo").addEventListener("click", () => write(lines().slice(0, -1)));
  corners.addEventListener("input", show);
  isArea.addEventListener("change", show);
  show();
  return add;
}
