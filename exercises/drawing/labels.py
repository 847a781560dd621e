"""Labels beside points that do not lie on one another: each is put at the first free of eight
places round its point; where these are taken, farther out with a line that leads to it.
"""

from dataclasses import dataclass

PLACES = (
    (1, -1),
    (1, 1),
    (-1, -1),
    (-1, 1),
    (1, 0),
    (-1, 0),
    (0, -1),
    (0, 1),
)  # to the right and up first, as people look
NEAR, FAR = (1.0,), (1.0, 2.5, 4.0, 6.0, 8.5, 11.0)  # times the gap, near first
OUTSIDE = 20.0  # what a label costs that leaves its sheet, times the area that does


@dataclass(frozen=True)
class Label:
    """Where a label goes: the start, middle or end of its baseline, as `anchor` says, and the end
    of the line that leads to it, or None beside its point.
    """

    x: float
    y: float
    anchor: str
    leader: tuple[float, float] | None = None


def place(points, width_of, height, gap, obstacles=(), within=None, reaches=NEAR):
    """Where labels go, as `Label` by key, for points {key: (x, y)}.

    `width_of(key)` is a label's width, `height` its height, `gap` its distance from the point.
    `obstacles` are more (x, y) to keep clear of, `within` the left, top, right and bottom to stay
    inside, `reaches` how far out labels may go, in gaps. Points come in the order in which they
    crowd: those with most neighbours choose first. Where all places are taken, the one that covers
    least is.
    """
    keys = sorted(points, key=lambda key: (-_neighbours(points, key, 3 * height), str(key)))
    spots = [
        (x - gap * 0.7, y - gap * 0.7, x + gap * 0.7, y + gap * 0.7)
        for x, y in (*points.values(), *obstacles)
    ]
    taken, placed = [], {}
    for key in keys:
        choices = [
            (_box(points[key], side, width_of(key), height, gap * reach), side, reach)
            for reach in reaches
            for side in PLACES
        ]
        costs = [
            sum(_overlap(box, other) for other in taken)
            + 1.5 * sum(_overlap(box, spot) for spot in spots)
            + OUTSIDE * _outside(box, within)
            + number * 1e-3
            for number, (box, _, _) in enumerate(choices)
        ]
        box, side, reach = choices[costs.index(min(costs))]
        taken.append(box)
        leader = _nearest(box, points[key]) if reach > 1.0 else None
        placed[key] = Label(*_baseline(box, side[0], height), leader)
    return placed


def _baseline(box, side, height):
    """Where a label's baseline is written from in its box, to the left (-1), above or below (0), or
    to the right (1) of its point: (x, y, anchor).
    """
    left, _, right, bottom = box
    x, anchor = {
        1: (left, "start"),
        0: ((left + right) / 2, "middle"),
        -1: (right, "end"),
    }[side]
    return x, bottom - height * 0.2, anchor


def _nearest(box, point):
    """The place of a box's edge that is nearest to a point outside it."""
    left, top, right, bottom = box
    return min(max(point[0], left), right), min(max(point[1], top), bottom)


def _neighbours(points, key, distance):
    return sum(_near(points[key], other, distance) for other in points.values())


def _near(one, other, distance):
    return abs(one[0] - other[0]) < distance and abs(one[1] - other[1]) < distance


def _box(point, side, width, height, gap):
    """Left, top, right, bottom of a label on a side of a point; sides are -1, 0 and 1 to the right
    and downwards.
    """
    x, y = point[0] + side[0] * gap, point[1] + side[1] * gap
    left = x if side[0] > 0 else x - width if side[0] < 0 else x - width / 2
    top = y if side[1] > 0 else y - height if side[1] < 0 else y - height / 2
    return left, top, left + width, top + height


def _overlap(one, other):
    """The area that two boxes share."""
    return max(0.0, min(one[2], other[2]) - max(one[0], other[0])) * max(
        0.0, min(one[3], other[3]) - max(one[1], other[1])
    )


def _outside(box, within):
    """The area of a box that lies outside another; none where there is no other."""
    if within is None:
        return 0.0
    return _overlap(box, box) - _overlap(box, within)
