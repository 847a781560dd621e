/**
 * The weighted mean of the positions that a phone took on a mark. `domain/survey.py` counts the
 * same and decides; the phone shows it as it settles.
 */
import { eastNorth, moved } from "./ground.js";

/**
 * The mean of fixes [latitude, longitude, radius in metres, milliseconds]: place, standard error
 * per coordinate, scatter, offsets in metres from the mean; null below two.
 * `assumed` are the domain's constants: radius in sigmas, lasting share of the variance, floor in
 * metres.
 */
export function average(fixes, assumed) {
  if (fixes.length < 2) return null;
  const origin = fixes[0];
  const weights = fixes.map((fix) => 1 / Math.max(fix[2], 0.5) ** 2);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const places = fixes.map((fix) => eastNorth(origin, fix));
  const mean = [0, 1].map(
    (axis) => places.reduce((sum, place, at) => sum + weights[at] * place[axis], 0) / total,
  );
  const offsets = places.map(([east, north]) => [east - mean[0], north - mean[1]]);
  const spread =
    offsets.reduce((sum, [east, north], at) => sum + weights[at] * (east ** 2 + north ** 2), 0) /
    total;
  const scatter = Math.sqrt((spread / 2) * (fixes.length / (fixes.length - 1)));
  const ofOneFix = Math.max(scatter, Math.sqrt(fixes.length / total) / assumed.radius);
  const accuracy = Math.max(
    assumed.floor,
    ofOneFix * Math.sqrt(assumed.lasting + (1 - assumed.lasting) / fixes.length),
  );
  const times = fixes.map((fix) => fix[3]);
  return {
    place: moved(origin, mean[0], mean[1]),
    accuracy,
    scatter,
    offsets,
    seconds: (Math.max(...times) - Math.min(...times)) / 1000,
  };
}
