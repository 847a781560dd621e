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

/**
 * Where labels go beside points: code to [dx, dy] of the label's corner from its point. Points are
 * a Map of code to [x, y]; crowded ones choose first. `frame` is [left, top, right, bottom], which
 * no label should leave.
 */
export function besides(points, widthOf, height, gap, frame) {
  const outside = ([x, y, w, h]) =>
    (Math.max(0, frame[0] - x) + Math.max(0, x + w - frame[2])) * h +
    (Math.max(0, frame[1] - y) + Math.max(0, y + h - frame[3])) * w;
  const all = [...points.values()];
  const crowd = ([x, y]) =>
    all.filter(([ox, oy]) => Math.abs(x - ox) < 3 * height && Math.abs(y - oy) < 3 * height).length;
  const dots = all.map(([x, y]) => [x - gap, y - gap, 2 * gap, 2 * gap]);
  const taken = [];
  const placed = new Map();
  for (const code of [...points.keys()].sort(
    (one, other) => crowd(points.get(other)) - crowd(points.get(one)) || (one < other ? -1 : 1),
  )) {
    const [x, y] = points.get(code);
    const boxes = beside(widthOf(code), height, gap).map(([dx, dy, w, h]) => [
      x + dx,
      y + dy,
      w,
      h,
    ]);
    const costs = boxes.map(
      (box, at) =>
        taken.reduce((sum, other) => sum + shared(box, other), 0) +
        dots.reduce((sum, dot) => sum + 1.5 * shared(box, dot), 0) +
        2 * outside(box) +
        at / 1000,
    );
    const best = costs.indexOf(Math.min(...costs));
    taken.push(boxes[best]);
    placed.set(code, [boxes[best][0] - x, boxes[best][1] - y]);
  }
  return placed;
}
