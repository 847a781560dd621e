"""The compass dial: the answer with its band, and where the reading pointed."""

from .. import vocabulary
from ..domain.earth.angles import three_digits
from ..domain.words import say
from ..languages import tell, told
from . import svg

RING, FACE = 100, 80  # outer and inner radius of the scale
CARDINALS = {0: say("N"), 90: say("E"), 180: say("S"), 270: say("W")}


def dial(answer_deg, band, north, reading_deg=None):
    """A dial with an answer in a north, its `Band`, and a reading or None. Degrees clockwise from
    that north.
    """
    parts = [*_face(), *_answer(answer_deg, band)]
    if reading_deg is not None:
        parts += _reading(reading_deg)
    parts.append(svg.element("circle", r=3, klass="hub"))
    return svg.drawing(
        _in_words(answer_deg, north, reading_deg), (-120, -120, 240, 240), *parts, klass="dial"
    )


def _in_words(answer_deg, north, reading_deg):
    if reading_deg is None:
        return tell(
            "Dial: the answer is {answer}° {north}.",
            answer=three_digits(answer_deg),
            north=vocabulary.NORTHS[north],
        )
    return tell(
        "Dial: the answer is {answer}° {north}, the reading {reading}°.",
        answer=three_digits(answer_deg),
        north=vocabulary.NORTHS[north],
        reading=three_digits(reading_deg),
    )


def _face():
    yield svg.element("circle", r=RING, klass="ring")
    yield svg.element("circle", r=FACE, klass="face")
    for degree in range(0, 360, 2):
        depth = 12 if degree % 30 == 0 else 9 if degree % 10 == 0 else 4
        yield svg.line(
            *svg.polar(degree, RING),
            *svg.polar(degree, RING - depth),
            klass="tick" if degree % 10 else "tick tick-ten",
        )
    for degree in range(0, 360, 30):
        x, y = svg.polar(degree, 111 if degree in CARDINALS else 110)
        yield svg.text(
            told(CARDINALS.get(degree, str(degree))),
            x,
            y,
            klass="cardinal" if degree in CARDINALS else "figure",
            text_anchor="middle",
            dominant_baseline="central",
        )


def _answer(answer_deg, band):
    for limit_deg, klass in (
        (band.part_credit_deg, "band-part"),
        (band.full_credit_deg, "band-full"),
    ):
        half_deg = min(limit_deg, 179.9)
        yield svg.sector(answer_deg - half_deg, answer_deg + half_deg, 8, FACE, klass=klass)
    yield svg.line(0, 0, *svg.polar(answer_deg, RING - 4), klass="ray-answer")
    head = (
        svg.polar(answer_deg + turn, radius)
        for turn, radius in ((0, RING + 2), (-4.5, FACE - 2), (4.5, FACE - 2))
    )
    yield svg.polygon(head, klass="head-answer")


def _reading(reading_deg):
    x, y = svg.polar(reading_deg, FACE - 8)
    yield svg.line(0, 0, x, y, klass="ray-reading")
    yield svg.element("circle", cx=float(x), cy=float(y), r=6, klass="head-reading")


def answers_dial(bearings_deg):
    """A dial with the answers of a course, in the order of their tasks, each in the north that it
    asks for.
    """
    rays = [
        part
        for bearing_deg in bearings_deg
        for part in (
            svg.line(
                *svg.polar(bearing_deg, 12), *svg.polar(bearing_deg, FACE - 4), klass="ray-answer"
            ),
            svg.element(
                "circle",
                cx=svg.polar(bearing_deg, FACE - 4)[0],
                cy=svg.polar(bearing_deg, FACE - 4)[1],
                r=4,
                klass="head-answer",
            ),
        )
    ]
    label = tell(
        "Dial with the answers {bearings}.",
        bearings=", ".join(f"{three_digits(bearing_deg)}°" for bearing_deg in bearings_deg),
    )
    return svg.drawing(
        label,
        (-120, -120, 240, 240),
        *_face(),
        *rays,
        svg.element("circle", r=3, klass="hub"),
        klass="dial",
    )
