/**
 * How a baseplate compass behaves, in degrees. The angles are those of exercises/domain;
 * fixtures/shared/compass.json is read by both.
 */
import { wrap } from "./bearing.js";

/** Reading minus answer the short way round, in (-180, 180]. */
export const difference = (reading, answer) => {
  const turned = wrap(reading - answer);
  return turned > 180 ? turned - 360 : turned;
};

/**
 * Where the red end points on the plate, clockwise from the travel arrow, when the person faces a
 * true direction.
 */
export const needle = (facing, declination) => wrap(declination - facing);

/**
 * Where the orienting arrow points on the plate, clockwise from the travel arrow, with a number at
 * the index line.
 */
const orientingArrow = (number) => wrap(-number);

/** How far the red end lies from the orienting arrow, clockwise positive: 0 is boxed. */
export const offTheArrow = (facing, number, declination) =>
  difference(needle(facing, declination), orientingArrow(number));

/** What lies nearest to a direction among things with a `bearing_deg`. */
export function nearest(things, direction) {
  const off = ({ bearing_deg: bearing }) => Math.abs(difference(bearing, direction));
  return things.reduce((best, thing) => (off(thing) < off(best) ? thing : best));
}

/**
 * The mistake that leads nearest to a reading, or undefined where none leads within `reach`
 * degrees.
 */
export function likeliest(wrongs, reading, reach) {
  const off = ({ degrees }) => Math.abs(difference(degrees, reading));
  const [first] = [...wrongs].sort((wrong, other) => off(wrong) - off(other));
  return first && off(first) <= reach ? first : undefined;
}
