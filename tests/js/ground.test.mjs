import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { average } from "../../exercises/static/exercises/js/average.js";
import {
  bearingAndLength,
  eastNorth,
  ellipse,
  moved,
} from "../../exercises/static/exercises/js/ground.js";
import { besides } from "../../exercises/static/exercises/js/labels.js";

const shared = (name) =>
  JSON.parse(readFileSync(new URL(`../../fixtures/shared/${name}.json`, import.meta.url), "utf8"));
const turn = (one, other) => Math.abs(((one - other + 540) % 360) - 180);

test("lines have the bearing and length that the geodesic gives", () => {
  for (const [from, to, bearing, length] of shared("lines")) {
    const line = bearingAndLength(from, to);
    assert.ok(
      turn(line.bearing, bearing) < 0.01,
      `${from} ${to}: ${line.bearing} instead of ${bearing}`,
    );
    assert.ok(Math.abs(line.length - length) < (0.001 * length) / 100 + 0.01);
  }
});
test("a visit is averaged as the server averages it", () => {
  for (const one of shared("averages")) {
    const found = average(one.fixes, { radius: 1.5096, lasting: 0.9, floor: 1.75 });
    assert.ok(Math.hypot(...eastNorth(found.place, one.place)) < 0.02);
    assert.ok(
      Math.abs(found.accuracy - one.accuracy) < 0.01 &&
        Math.abs(found.scatter - one.scatter) < 0.01,
    );
  }
});
test("one fix is no average", () =>
  assert.equal(average([[0, 0, 5, 0]], { radius: 1.5, lasting: 0.9, floor: 1.75 }), null));
test("what is moved comes back", () => {
  const [east, north] = eastNorth([-45, 179.9999], moved([-45, 179.9999], 30, -20));
  assert.ok(Math.abs(east - 30) < 1e-3 && Math.abs(north + 20) < 1e-3);
});
test("an ellipse is as long and as wide as it is said to be", () => {
  const far = ellipse([60, 20], [30, 10, 45]).map((corner) =>
    Math.hypot(...eastNorth([60, 20], corner)),
  );
  assert.ok(Math.abs(Math.max(...far) - 30) < 0.01 && Math.abs(Math.min(...far) - 10) < 0.01);
});
test("labels of crowded points do not lie on one another", () => {
  const points = new Map([
    ["A", [100, 100]],
    ["B", [112, 100]],
    ["C", [100, 112]],
    ["D", [112, 112]],
  ]);
  const boxes = [...besides(points, () => 20, 14, 8, [0, 0, 300, 300])].map(([code, [dx, dy]]) => [
    points.get(code)[0] + dx,
    points.get(code)[1] + dy,
  ]);
  for (const [at, one] of boxes.entries()) {
    for (const other of boxes.slice(at + 1)) {
      assert.ok(Math.abs(one[0] - other[0]) >= 20 || Math.abs(one[1] - other[1]) >= 14);
    }
  }
});
test("a label at the edge stays inside", () => {
  const [[, [dx]]] = [...besides(new Map([["A", [295, 100]]]), () => 40, 14, 8, [0, 0, 300, 300])];
  assert.ok(295 + dx + 40 <= 300);
});
test("no label leaves the frame, wherever its point stands in it", () => {
  for (let x = 20; x <= 270; x += 10) {
    for (let y = 20; y <= 420; y += 10) {
      const points = new Map([
        ["T7", [x, y]],
        ["T8", [x + 4, y + 9]],
        ["F", [x - 9, y + 5]],
      ]);
      for (const [code, [dx, dy]] of besides(points, () => 110, 20, 11, [4, 4, 286, 436])) {
        const [left, top] = [points.get(code)[0] + dx, points.get(code)[1] + dy];
        const text = `${code} of ${x}, ${y} at ${left}, ${top}`;
        assert.ok(left >= 4 && left + 110 <= 286 && top >= 4 && top + 20 <= 436, text);
      }
    }
  }
});
test("a label does not lie under a button of the map", () => {
  const button = [0, 0, 50, 96];
  const [[, [dx, dy]]] = [
    ...besides(new Map([["T9", [60, 92]]]), () => 28, 20, 11, [0, 0, 62, 440], [button]),
  ];
  assert.ok(60 + dx >= 50 || 92 + dy >= 96);
});
test("a long label chooses before a short one in a crowd", () => {
  const points = new Map([
    ["C", [200, 100]],
    ["T", [170, 85]],
  ]);
  const boxes = besides(points, (code) => (code === "T" ? 140 : 12), 20, 11, [0, 0, 400, 400]);
  const alone = besides(new Map([["T", [170, 85]]]), () => 140, 20, 11, [0, 0, 400, 400]);
  assert.deepEqual(boxes.get("T"), alone.get("T"));
});
