/** Codes beside the points of a map, none on another, under a button or beyond the frame. */
import { besides } from "./labels.js";

export const ICON_PX = 44; // of a point's marker, in whose middle the point is
const LABEL_PX = 20;
const GAP_PX = 11;
const EDGE_PX = 4; // that a label keeps from the frame

/** What of the map can be seen, less its edge, in the pixels in which points are placed. */
function frameOf(map) {
  const { min, max } = map.getPixelBounds();
  const origin = map.getPixelOrigin();
  const [left, top] = [min.x - origin.x + EDGE_PX, min.y - origin.y + EDGE_PX];
  return [left, top, max.x - origin.x - EDGE_PX, max.y - origin.y - EDGE_PX];
}

/** The buttons and the scale that lie on the map, as [left, top, width, height] in those pixels. */
function controlsOf(map, [left, top]) {
  const frame = map.getContainer().getBoundingClientRect();
  return [...map.getContainer().querySelectorAll(".leaflet-control")].map((control) => {
    const { x, y, width, height } = control.getBoundingClientRect();
    return [left - EDGE_PX + x - frame.x, top - EDGE_PX + y - frame.y, width, height];
  });
}

/**
 * Places the codes of markers anew, with what is measured to each.
 * @param {object} map Leaflet's
 * @param {Map<string, object>} markers Leaflet's, by code
 * @param {Map<string, number[]>} places latitude and longitude by code
 * @param {(code: string) => string} measured bearing and length to a point, or ""
 */
export function labelPoints(map, markers, places, measured) {
  const shown = new Map(
    [...markers].map(([code, marker]) => [code, marker.getElement().querySelector(".map-code")]),
  );
  for (const [code, words] of shown) words.lastChild.textContent = measured(code);
  const spots = new Map(
    [...places].map(([code, place]) => [code, Object.values(map.latLngToLayerPoint(place))]),
  );
  // as wide as they are drawn: a phone leaves the figures out
  const widths = new Map([...shown].map(([code, words]) => [code, words.offsetWidth]));
  const frame = frameOf(map);
  const widthOf = (code) => widths.get(code);
  const labels = besides(spots, widthOf, LABEL_PX, GAP_PX, frame, controlsOf(map, frame));
  for (const [code, [dx, dy]] of labels) {
    shown.get(code).style.left = `${ICON_PX / 2 + dx}px`;
    shown.get(code).style.top = `${ICON_PX / 2 + dy}px`;
  }
}
