/**
 * Bearings, lengths and metres over a site's ground: the ellipsoid's own scale at a latitude, good
 * to 0.01 degrees over a few kilometres.
 */
const A = 6378137; // WGS 84, metres
const E2 = 0.00669437999014;
const radians = Math.PI / 180;

/** Metres in a degree of latitude and of longitude at a latitude. */
function metresPerDegree(latitude) {
  const sine = Math.sin(latitude * radians);
  const w = 1 - E2 * sine * sine;
  return {
    north: ((A * (1 - E2)) / w ** 1.5) * radians,
    east: (A / Math.sqrt(w)) * Math.cos(latitude * radians) * radians,
  };
}

/** Metres east and north from one place to another; places are [latitude, longitude]. */
export function eastNorth(from, to) {
  const per = metresPerDegree((from[0] + to[0]) / 2);
  const turn = ((to[1] - from[1] + 540) % 360) - 180;
  return [turn * per.east, (to[0] - from[0]) * per.north];
}

/** The place some metres east and north of another. */
export function moved(from, east, north) {
  const latitude = from[0] + north / metresPerDegree(from[0]).north;
  const longitude = from[1] + east / metresPerDegree((from[0] + latitude) / 2).east;
  return [latitude, ((longitude + 540) % 360) - 180];
}

/**
 * True bearing in degrees, 0 to 360, and length in metres. The bearing is taken at the station:
 * meridians lean by half their convergence along the line.
 */
export function bearingAndLength(from, to) {
  const [east, north] = eastNorth(from, to);
  const lean =
    ((((to[1] - from[1] + 540) % 360) - 180) * Math.sin(((from[0] + to[0]) / 2) * radians)) / 2;
  return {
    bearing: (Math.atan2(east, north) / radians - lean + 720) % 360,
    length: Math.hypot(east, north),
  };
}

/** Three digits, as bearings are said. */
export const threeDigits = (bearing) => String(Math.round(bearing) % 360).padStart(3, "0");

/**
 * The corners of an ellipse round a place: semi-axes in metres and the direction of the longer one.
 */
export function ellipse(place, [major, minor, azimuth], corners = 36) {
  const [s, c] = [Math.sin(azimuth * radians), Math.cos(azimuth * radians)];
  return Array.from({ length: corners }, (_, at) => {
    const angle = (2 * Math.PI * at) / corners;
    const [along, across] = [major * Math.cos(angle), minor * Math.sin(angle)];
    return moved(place, along * s + across * c, along * c - across * s);
  });
}
