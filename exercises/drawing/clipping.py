"""Lines and areas cut off at a box, and areas filled with level strokes. Places are (x, y); a box
is its left, top, right and bottom.
"""

from itertools import pairwise


def inside(place, box):
    """Whether a place lies in a box or on its edge."""
    return box[0] <= place[0] <= box[2] and box[1] <= place[1] <= box[3]


def line(corners, box):
    """What of a line lies in a box: its pieces, each a list of places."""
    pieces = []
    for start, end in pairwise(corners):
        part = _segment(start, end, box)
        if part is None:
            continue
        if pieces and pieces[-1][-1] == part[0]:
            pieces[-1].append(part[1])
        else:
            pieces.append(list(part))
    return pieces


def _segment(start, end, box):
    """The part of a straight line in a box, or None. Liang and Barsky (1984), ACM Transactions on
    Graphics 3(1).
    """
    run = end[0] - start[0], end[1] - start[1]
    enters, leaves = 0.0, 1.0
    for axis in (0, 1):
        edges = (-run[axis], start[axis] - box[axis]), (run[axis], box[axis + 2] - start[axis])
        for speed, room in edges:
            if speed == 0.0 and room < 0.0:
                return None
            if speed < 0.0:
                enters = max(enters, room / speed)
            elif speed > 0.0:
                leaves = min(leaves, room / speed)
    if enters >= leaves:
        return None
    return tuple(
        end if share == 1.0 else (start[0] + share * run[0], start[1] + share * run[1])
        for share in (enters, leaves)
    )


def area(corners, box):
    """What of an area lies in a box, as corners; none where nothing does. Sutherland and Hodgman
    (1974), Communications of the ACM 17(1): where it falls into parts they hang together along the
    box's edge, so that it can be filled but not drawn round.
    """
    for axis, edge, sign in ((0, box[0], 1), (0, box[2], -1), (1, box[1], 1), (1, box[3], -1)):
        corners = _behind(corners, axis, sign * edge, sign)
    return corners


def _behind(corners, axis, edge, sign):
    kept = []
    for start, end in zip([*corners[-1:], *corners[:-1]], corners, strict=True):
        from_m, to_m = sign * start[axis] - edge, sign * end[axis] - edge
        if (from_m < 0.0) != (to_m < 0.0):
            share = from_m / (from_m - to_m)
            kept.append(tuple(a + share * (b - a) for a, b in zip(start, end, strict=True)))
        if to_m >= 0.0:
            kept.append(end)
    return kept


def level_strokes(corners, apart):
    """Level strokes inside an area, so far apart: (left, right, y) of each."""
    if not corners:
        return []
    ys = [y for _, y in corners]
    strokes = []
    for row in range(int((max(ys) - min(ys)) / apart) + 1):
        y = min(ys) + (row + 0.5) * apart
        crossings = sorted(_crossings(corners, y))
        strokes += [
            (left, right, y) for left, right in zip(crossings[::2], crossings[1::2], strict=True)
        ]
    return strokes


def _crossings(corners, y):
    """Where an area's outline crosses a level."""
    for (ax, ay), (bx, by) in pairwise([*corners, corners[0]]):
        if (ay <= y) != (by <= y):
            yield ax + (y - ay) * (bx - ax) / (by - ay)
