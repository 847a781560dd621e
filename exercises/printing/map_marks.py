"""What is drawn on the ground of a map: its lines, points, lettered spots and hazards, with their
labels; and the same as samples for the legend.

A mark lies above all that it could be covered by, on a white ground of its own.
"""

import itertools
import math
from dataclasses import dataclass
from string import ascii_lowercase

from ..drawing import clipping, labels, signs
from . import paper
from .hazard_signs import SAMPLE_MM, SIGNS, along
from .map_frame import flat

MARK_MM, LEAST_MARK_MM = 2.2, 1.5  # radius; smaller where points crowd
SIGN_SHARE = 0.85  # of the radius: a star's points reach a quarter beyond the size of its sign
DOT_MM, OUTLINE_MM = 0.25, 0.25  # radius of the exact spot, and the line about it
CODE_POINTS, HAZARD_POINTS = 9.0, 8.0
LABEL_MM, GAP_MM = 3.4, 2.8
LETTERS_MM, CLEAR_MM = 4.0, 4.5  # places of a hazard's letter along it, and what they keep clear
OFF_FRAME_MM = 1.4  # a line nearer to the frame would double it
CROSS_MM = 2.0  # half of the stroke where a line meets a round northing
MOST_NAMES = 8  # in an entry of the legend, which must fit a page
INSET_MM = 3.5  # from the frame to the arrow of what lies beyond it


@dataclass(frozen=True)
class Lettered:
    """A hazard with the small letter that stands beside it, so that it is no point's code."""

    letter: str
    hazard: object
    pieces: list
    area: list

    @property
    def has_ground(self):
        """Whether its area is filled."""
        return SIGNS[self.hazard.kind].ground is not None

    def letter_places(self):
        """Where its letter may stand, best first: inside an area, beside a spot, or on the line
        from its middle outwards.
        """
        if self.area and self.has_ground:
            count = len(self.area)
            yield sum(x for x, _ in self.area) / count, sum(y for _, y in self.area) / count
        for piece in sorted(self.pieces, key=lambda piece: -math.dist(piece[0], piece[-1])):
            if len(piece) == 1:
                ((x, y),) = piece
                yield from ((x + dx, y + dy) for dx, dy in ((4, 0), (-4, 0), (0, -4), (0, 4)))
            else:
                steps = [(x, y) for x, y, _ in along(piece, LETTERS_MM)]
                yield from sorted(steps, key=lambda step: math.dist(step, steps[len(steps) // 2]))


def letters():
    """a, b ... z, aa, ab ..."""
    for count in itertools.count(1):
        yield from map("".join, itertools.product(ascii_lowercase, repeat=count))


def hazards_on(ground, fitted, north):
    """The hazards that lie on a map, cut off at its frame and lettered."""
    found, free = [], letters()
    for hazard in ground.hazards:
        places = [fitted.on_paper(*flat(ground, at, north)) for at in hazard.corners]
        if len(places) == 1:
            pieces = [places] if clipping.inside(places[0], fitted.box) else []
        else:
            pieces = clipping.line([*places, *places[: hazard.is_area]], fitted.box)
        area = clipping.area(places, fitted.box) if hazard.is_area else []
        if pieces or (area and SIGNS[hazard.kind].ground is not None):
            found.append(Lettered(next(free), hazard, pieces, area))
    return found


def draw_grounds(pdf, found, fitted):
    """What lies below the lines of the map: a compass is laid along these there as well."""
    with pdf.only_in(fitted.box):
        for one in found:
            SIGNS[one.hazard.kind].within(pdf, one.area)


def draw_hazards(pdf, found, fitted):
    """The signs themselves, above the lines of the map."""
    with pdf.only_in(fitted.box):
        for one in found:
            for piece in one.pieces:
                if len(piece) > 1:
                    SIGNS[one.hazard.kind].along(pdf, piece)
                else:
                    SIGNS[one.hazard.kind].spot(pdf, *piece[0])


def draw_lines(pdf, fitted, has_crosses):
    """Vertical lines at round coordinates, strong; where a round northing crosses them a short
    stroke, so that squares are seen and nobody lays the housing along them.
    """
    left, top, right, bottom = fitted.box
    for x, _ in vertical_lines(fitted):
        pdf.line(x, top, x, bottom, width=0.15, grey=0.45)
        for y, _ in level_strokes(fitted) if has_crosses else ():
            pdf.line(max(x - CROSS_MM, left), y, min(x + CROSS_MM, right), y, width=0.15, grey=0.45)


def vertical_lines(fitted):
    """Where lines stand on the sheet, with their round eastings; none that doubles the frame."""
    left, _, right, _ = fitted.box
    step = fitted.lines_every_m
    east_m = math.ceil(fitted.left_m / step) * step
    while (x := fitted.on_paper(east_m, 0.0)[0]) < right - OFF_FRAME_MM:
        if x > left + OFF_FRAME_MM:
            yield x, east_m
        east_m += step


def level_strokes(fitted):
    """The same for round northings, from above."""
    _, top, _, bottom = fitted.box
    step = fitted.lines_every_m
    north_m = math.floor(fitted.top_m / step) * step
    while (y := fitted.on_paper(0.0, north_m)[1]) < bottom - OFF_FRAME_MM:
        if y > top + OFF_FRAME_MM:
            yield y, north_m
        north_m -= step


def draw_marks(pdf, ground, at, crosses, found, fitted):
    """Points, spots and labels. `at` and `crosses` are places on the sheet by code, `found` the
    hazards. Returns the codes of what was drawn, for the legend.
    """
    radius = mark_radius([*at.values(), *crosses.values()])
    shown = {code: clipping.inside(place, fitted.box) for code, place in crosses.items()}
    arrows = {code: beyond(crosses[code], fitted) for code in crosses if not shown[code]}
    named = at | crosses | arrows
    letters_at = _place_letters(found, list(named.values()), fitted)
    placed = _labels(pdf, named, list(letters_at.values()), fitted, radius)
    kinds = set()
    for code, place in at.items():
        kinds.add(kind := signs.sign_of(ground.site.points[code]))
        MARKS[kind](pdf, *place, radius)
    for code, place in crosses.items():
        kinds.add("spot" if shown[code] else "beyond")
        if shown[code]:
            MARKS["spot"](pdf, *place, radius)
        else:
            _arrow(pdf, arrows[code], place)
    for letter, (x, y) in letters_at.items():
        pdf.halo(letter, x, y + 1.0, HAZARD_POINTS, "middle")
    for code, label in placed.items():
        pdf.halo(code, label.x, label.y, CODE_POINTS, label.anchor)
    return kinds


def mark_radius(places):
    """The radius of all marks, so small that the nearest two do not touch, if that can be."""
    nearest = min(
        (math.dist(one, other) for one, other in itertools.combinations(places, 2)),
        default=math.inf,
    )
    return min(MARK_MM, max(LEAST_MARK_MM, 0.42 * nearest))


def _place_letters(found, marks, fitted):
    """Where the letters of hazards stand: the first of their places that keeps clear of marks, of
    one another and of the frame, or the one that does best.
    """
    left, top, right, bottom = fitted.box
    inner, placed = (left + 3.0, top + 3.0, right - 3.0, bottom - 3.0), {}
    for one in found:
        others = [*marks, *placed.values()]
        choices = list(one.letter_places())
        free = [
            min((math.dist(place, other) for other in others), default=CLEAR_MM)
            if clipping.inside(place, inner)
            else 0.0
            for place in choices
        ]
        clear = [place for place, far in zip(choices, free, strict=True) if far >= CLEAR_MM]
        placed[one.letter] = clear[0] if clear else choices[free.index(max(free))]
    return placed


def _labels(pdf, at, letters_at, fitted, radius):
    """Place the codes of points and spots, and draw the lines that lead to those farther out."""
    left, top, right, bottom = fitted.box
    placed = labels.place(
        at,
        lambda code: paper.width(code, CODE_POINTS, bold=True) + 0.8,
        LABEL_MM,
        radius + GAP_MM - MARK_MM + 0.4,
        obstacles=letters_at,
        within=(left + 1.2, top + 1.2, right - 1.2, bottom - 1.2),
        reaches=labels.FAR,
    )
    for code, label in placed.items():
        if label.leader:
            pdf.line(*at[code], *label.leader, width=0.15)
    return placed


def beyond(place, fitted):
    """Where at the frame stands the arrow to a spot that lies beyond it."""
    left, top, right, bottom = fitted.box
    inner = left + INSET_MM, top + INSET_MM, right - INSET_MM, bottom - INSET_MM
    middle = (left + right) / 2, (top + bottom) / 2
    return clipping.line([middle, place], inner)[0][-1]


def _sign(code):
    """How a sign of the table of all maps is printed: on a white ground of its own, with the exact
    spot."""
    chosen = signs.SIGNS[code]

    def draw(pdf, x, y, radius):
        pdf.circle(x, y, 1.25 * SIGN_SHARE * radius + 0.3, line=0, fill=1.0)
        for _, corners in chosen.drawn(x, y, SIGN_SHARE * radius):
            pdf.polygon(corners, line=OUTLINE_MM, fill=1.0)
        pdf.circle(x, y, DOT_MM, line=0, fill=0.0)

    return draw


def _arrow(pdf, at, towards):
    """A full arrow head that points to what lies beyond the frame."""
    angle = math.atan2(towards[1] - at[1], towards[0] - at[0])
    pdf.polygon(
        [
            (at[0] + long * math.cos(angle + turn), at[1] + long * math.sin(angle + turn))
            for long, turn in ((2.4, 0.0), (1.8, 2.5), (1.8, -2.5))
        ],
        line=0,
        fill=0.0,
    )


def _arrow_sample(pdf, x, y, radius):
    _arrow(pdf, (x, y), (x + 1.0, y))


MARKS = {**{code: _sign(code) for code in signs.SIGNS}, "beyond": _arrow_sample}


def legend(texts, kinds, found):
    """What was drawn on a map, for its legend: (draw the sample at a place, words) of each."""
    entries = [
        (_mark_sample(MARKS[kind]), words) for kind, words in texts.marks.items() if kind in kinds
    ]
    for kind, words in texts.hazards.items():
        named = [
            f"{one.letter}\N{NO-BREAK SPACE}{one.hazard.name}"
            for one in found
            if one.hazard.kind == kind
        ]
        for first in range(0, len(named), MOST_NAMES):
            names = ", ".join(named[first : first + MOST_NAMES])
            entries.append((SIGNS[kind].sample, f"{words}: {names}"))
    return entries


def _mark_sample(draw):
    return lambda pdf, x, y: draw(pdf, x + SAMPLE_MM / 2, y, MARK_MM * 0.8)
