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

const beside = (width, height, gap) =>
  SIDES.map(([right, down]) => {
    const left = right > 0 ? gap : right < 0 ? -gap - width : -width / 2;
    const top = down > 0 ? gap : down < 0 ? -gap - height : -height / 2;
    return [left, top + (right ? down * -gap * 0.5 : 0), width, height];
  });

const shared = ([ax, ay, aw, ah], [bx, by, bw, bh]) =>
  Math.max(0, Math.min(ax + aw, bx + bw) - Math.max(ax, bx)) *
  Math.max(0, Math.min(ay + ah, by + bh) - Math.max(ay, by));

const between = (value, least, most) => Math.max(least, Math.min(value, most));

/** A box [left, top, width, height] moved so far that it lies in a frame. */
const inside = ([x, y, w, h], [left, top, right, bottom]) => [
  between(x, left, right - w),
  between(y, top, bottom - h),
  w,
  h,
];

const holds = ([left, top, right, bottom], [x, y]) =>
  x >= left && x <= right && y >= top && y <= bottom;

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
 * no label of a point in it leaves, `covered` are boxes [left, top, width, height] to keep clear of.
 */
export function besides(points, widthOf, height, gap, frame, covered = []) {
  const dots = [...points.values()].map(([x, y]) => [x - gap, y - gap, 2 * gap, 2 * gap]);
  const taken = [...covered];
  const placed = new Map();
  const cost = (box, at) =>
    taken.reduce((sum, other) => sum + shared(box, other), 0) +
    dots.reduce((sum, dot) => sum + 1.5 * shared(box, dot), 0) +
    at / 1000;
  const isLong = (code) => widthOf(code) > 3 * height;
  for (const code of crowdedFirst(points, 3 * height, isLong)) {
    const [x, y] = points.get(code);
    const sides = beside(widthOf(code), height, gap);
    const about = sides.map(([dx, dy, w, h]) => [x + dx, y + dy, w, h]);
    const boxes = holds(frame, [x, y]) ? about.map((box) => inside(box, frame)) : about;
    const costs = boxes.map(cost);
    const best = costs.indexOf(Math.min(...costs));
    taken.push(boxes[best]);
    placed.set(code, [boxes[best][0] - x, boxes[best][1] - y]);
  }
  return placed;
}
