/**
 * Labels beside points that do not lie on one another: the same eight places, in the same order, as
 * `drawing/labels.py`.
 */
const SIDES = [
  [1, -1],
  [1, 1],
  [-1, -1],
  [-1, 1],
  [1, 0],
  [-1, 0],
  [0, -1],
  [0, 1],
];

// what a label costs that leaves its frame, times the area that does
const OUTSIDE = 20;

const beside = (width, height, gap) =>
  SIDES.map(([right, down]) => {
    const left = right > 0 ? gap : right < 0 ? -gap - width : -width / 2;
    const top = down > 0 ? gap : down < 0 ? -gap - height : -height / 2;
    return [left, top + (right ? down * -gap * 0.5 : 0), width, height];
  });

const shared = ([ax, ay, aw, ah], [bx, by, bw, bh]) =>
  Math.max(0, Math.min(ax + aw, bx + bw) - Math.max(ax, bx)) *
  Math.max(0, Math.min(ay + ah, by + bh) - Math.max(ay, by));

/** How much of a box [left, top, width, height] lies outside a frame. */
const outside = ([x, y, w, h], [left, top, right, bottom]) =>
  (Math.max(0, left - x) + Math.max(0, x + w - right)) * h +
  (Math.max(0, top - y) + Math.max(0, y + h - bottom)) * w;

/**
 * Codes of points, those first that have long labels, which fit in few places, then those with many
 * others near them.
 */
function crowdedFirst(points, reach, isLong) {
  const all = [...points.values()];
  const crowd = (code) => {
    const [x, y] = points.get(code);
    return all.filter(([ox, oy]) => Math.abs(x - ox) < reach && Math.abs(y - oy) < reach).length;
  };
  return [...points.keys()].sort(
    (code, other) =>
      isLong(other) - isLong(code) || crowd(other) - crowd(code) || (code < other ? -1 : 1),
  );
}

/**
 * Where labels go beside points: code to [dx, dy] of the label's corner from its point. Points are
 * a Map of code to [x, y]; crowded ones choose first. `frame` is [left, top, right, bottom], which
 * no label should leave, `covered` are boxes [left, top, width, height] to keep clear of.
 */
export function besides(points, widthOf, height, gap, frame, covered = []) {
  const dots = [...points.values()].map(([x, y]) => [x - gap, y - gap, 2 * gap, 2 * gap]);
  const taken = [...covered];
  const placed = new Map();
  const cost = (box, at) =>
    taken.reduce((sum, other) => sum + shared(box, other), 0) +
    dots.reduce((sum, dot) => sum + 1.5 * shared(box, dot), 0) +
    OUTSIDE * outside(box, frame) +
    at / 1000;
  const isLong = (code) => widthOf(code) > 3 * height;
  for (const code of crowdedFirst(points, 3 * height, isLong)) {
    const [x, y] = points.get(code);
    const sides = beside(widthOf(code), height, gap);
    const boxes = sides.map(([dx, dy, w, h]) => [x + dx, y + dy, w, h]);
    const costs = boxes.map(cost);
    const best = costs.indexOf(Math.min(...costs));
    taken.push(boxes[best]);
    placed.set(code, [boxes[best][0] - x, boxes[best][1] - y]);
  }
  return placed;
}
