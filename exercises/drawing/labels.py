"""Labels beside points that do not lie on one another: each is put at the first free of eight
places round its point.
"""

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


def place(points, width_of, height, gap, obstacles=()):
    """Where labels go: {key: (x, y, anchor)} for points {key: (x, y)}; `x` and `y` are the
    baseline's start, middle or end as `anchor` says.

    `width_of(key)` is a label's width, `height` its height, `gap` its distance from the point.
    `obstacles` are more (x, y) to keep clear of. Points come in the order in which they crowd:
    those with most neighbours choose first. Where all eight places are taken, the one that covers
    least is.
    """
    keys = sorted(points, key=lambda key: (-_neighbours(points, key, 3 * height), str(key)))
    spots = [
        (x - gap * 0.7, y - gap * 0.7, x + gap * 0.7, y + gap * 0.7)
        for x, y in (*points.values(), *obstacles)
    ]
    taken, placed = [], {}
    for key in keys:
        boxes = [_box(points[key], side, width_of(key), height, gap) for side in PLACES]
        covered = [
            sum(_overlap(box, other) for other in taken)
            + 1.5 * sum(_overlap(box, spot) for spot in spots)
            + number * 1e-3
            for number, box in enumerate(boxes)
        ]
        best = covered.index(min(covered))
        taken.append(boxes[best])
        placed[key] = _baseline(boxes[best], PLACES[best][0], height)
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
