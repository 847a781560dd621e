"""Where a class pointed and where the answer lay, on the map of the site round the mark: true north
up, to scale, a ray for the readings of each degree.
"""

import itertools
from collections import Counter

from ..domain.earth import geodesy
from ..domain.earth.angles import circular_mean, difference, three_digits, wrap
from ..domain.planning.hazards import KINDS
from ..languages import tell, told
from ..vocabulary import NORTHS
from . import svg
from .signs import sign

RING, WIDE, TALL = 206.0, 290.0, 266.0  # radius of the ring, half the width and height of the sheet
TARGET_AT = 0.72  # of the ring: where what is sighted lies; what lies beyond the ring is left out
COUNT_AT = 0.5
APART_DEG = 15.0  # rays farther apart belong to two groups
CROWDED_DEG, ASIDE = 40.0, 46.0  # from north to an answer whose number would touch its name
COUNTED = 3  # readings from which a group's number is written: fewer could be somebody
THINNEST, THICKER, THICKEST = 2.5, 1.5, 14.0


def rays(answer_deg, errors_deg):
    """How many readings point along each whole degree, as {degree: number}, degrees true in [0,
    360). The answer's bearing is true, errors are reading minus answer.
    """
    return dict(sorted(Counter(round(wrap(answer_deg + e)) % 360 for e in errors_deg).items()))


def groups(along):
    """Rays that lie together, as (mean direction, number) in order of direction; `along` is as
    `rays` gives it.
    """
    degrees = sorted(along)
    if not degrees:
        return []
    gaps = [wrap(after - before) for before, after in _neighbours(degrees)]
    first = max(range(len(degrees)), key=gaps.__getitem__) + 1  # behind the widest gap
    together = [[]]
    for place in range(first, first + len(degrees)):
        degree = degrees[place % len(degrees)]
        together[-1].append(degree)
        if gaps[place % len(degrees)] > APART_DEG:
            together.append([])
    found = []
    for group in filter(None, together):
        weights = [along[degree] for degree in group]
        found.append((circular_mean(group, weights) or 0.0, sum(weights)))
    return sorted(found)


def _neighbours(degrees):
    """Each direction with the next one clockwise."""
    return zip(degrees, [*degrees[1:], degrees[0]], strict=True)


def fan(answer, errors_deg, ends, positions, hazards, label):
    """The drawing for an answer that is a direction. `ends` are the codes of the point from which
    it leads and of the one to which, of `positions` by code; without the second there is no map.
    `label` says in words what it shows.
    """
    true_deg = answer.bearings_deg["true"]
    along = rays(true_deg, errors_deg)
    return svg.drawing(
        label,
        (-WIDE, -TALL, 2 * WIDE, 2 * TALL),
        *_map(*ends, positions, hazards),
        *_band(true_deg, answer.band),
        *_ring(wrap(true_deg - answer.expected_deg), answer),
        *_rays(along),
        *_answer(true_deg, answer.expected_deg, is_on_map=set(ends) <= set(positions)),
        *_counts(groups(along)),
        svg.element("circle", r=6, klass="hub"),
        klass="fan",
    )


def _map(here, there, positions, hazards):
    """What lies round the mark, as far as the ring reaches."""
    if here not in positions or there not in positions:
        return
    middle = positions[here]
    metres = geodesy.sight_line(middle, positions[there]).distance_m
    scale = TARGET_AT * RING / metres

    def on_sheet(position):
        east_m, north_m = geodesy.east_north_m(middle, position)
        return scale * east_m, -scale * north_m

    for hazard in hazards:
        yield from _hazard(hazard, [on_sheet(corner) for corner in hazard.corners])
    yield svg.element("path", d=_OUTSIDE, fill_rule="evenodd", klass="fan-outside")
    for code, position in positions.items():
        x, y = on_sheet(position)
        if code not in (here, there) and x * x + y * y < RING * RING:
            yield svg.element("circle", cx=x, cy=y, r=4.0, klass="fan-point")


_FAR, _R = svg.number(20 * WIDE), svg.number(RING)
_OUTSIDE = (  # all but the ring: hides what a line or an area has beyond it
    f"M-{_FAR} -{_FAR}H{_FAR}V{_FAR}H-{_FAR}Z"
    f"M0 -{_R}A{_R} {_R} 0 1 1 0 {_R}A{_R} {_R} 0 1 1 0 -{_R}Z"
)


def _hazard(hazard, corners):
    """A line or an area of the map; spots are too small to be seen from the back."""
    if len(corners) > 1:
        yield svg.element(
            "polygon" if hazard.is_area else "polyline",
            points=" ".join(f"{svg.number(float(x))},{svg.number(float(y))}" for x, y in corners),
            klass="hazard"
            + (" hazard-danger" if KINDS[hazard.kind].is_danger else "")
            + (" hazard-area" if hazard.is_area else ""),
        )


def _band(true_deg, band):
    for limit_deg, klass in (
        (band.part_credit_deg, "band-part"),
        (band.full_credit_deg, "band-full"),
    ):
        half_deg = min(limit_deg, 179.9)
        yield svg.sector(true_deg - half_deg, true_deg + half_deg, 8, int(RING), klass=klass)


def _ring(north_deg, answer):
    """The ring, with the north from which the bearing is counted where that points on the map. Its
    name steps aside from an answer near it.
    """
    yield svg.element("circle", r=RING, klass="fan-ring")
    for turn in range(0, 360, 30):
        yield svg.line(
            *svg.polar(north_deg + turn, RING),
            *svg.polar(north_deg + turn, RING + (16 if turn == 0 else 8)),
            klass="fan-north" if turn == 0 else "fan-tick",
        )
    x, y = svg.polar(north_deg, RING + 36)
    from_north_deg = difference(answer.expected_deg, 0.0)
    aside = 0 if abs(from_north_deg) > CROWDED_DEG else -1 if from_north_deg >= 0 else 1
    yield svg.text(
        tell("N {north}", north=told(NORTHS[answer.north])),
        x + aside * ASIDE,
        y + 9,
        klass="fan-label",
        text_anchor={-1: "end", 0: "middle", 1: "start"}[aside],
    )


def _rays(along):
    for degree, number in along.items():
        yield svg.line(
            *svg.polar(degree, 8),
            *svg.polar(degree, RING),
            klass="fan-ray",
            stroke_width=min(THINNEST + THICKER * (number - 1), THICKEST),
        )


def _answer(true_deg, expected_deg, *, is_on_map):
    """The line to the answer with its number, and on a map what is sighted."""
    yield svg.line(0, 0, *svg.polar(true_deg, RING), klass="fan-answer")
    head = [svg.polar(true_deg + turn, radius) for turn, radius in _HEAD]
    yield svg.polygon(head, klass="head-answer")
    if is_on_map:
        there = svg.polar(true_deg, TARGET_AT * RING)
        yield sign("target", *there, 13.0)
    x, y = svg.polar(true_deg, RING + 40)
    yield svg.text(
        f"{three_digits(expected_deg)}°", x, y + 10, klass="fan-number", text_anchor="middle"
    )


_HEAD = ((0, RING + 16), (-4, RING - 8), (4, RING - 8))


def _counts(found):
    """The numbers of those groups that are of many."""
    for mean_deg, number in itertools.filterfalse(lambda group: group[1] < COUNTED, found):
        x, y = svg.polar(mean_deg, COUNT_AT * RING)
        yield svg.text(str(number), x, y + 11, klass="fan-count", text_anchor="middle")
