/** An outline as it comes: steps x, y, x, y ... in hundredths of a degree, each from the last. */
export function outline(steps) {
  const corners = [];
  let [x, y] = [0, 0];
  for (let at = 0; at < steps.length; at += 2) {
    x += steps[at];
    y += steps[at + 1];
    corners.push([y / 100, x / 100]);
  }
  return corners;
}
