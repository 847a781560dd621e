"""Rounds with the needle: hold and face, box the needle, read the dial, which end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ..earth.angles import wrap
from ..earth.norths import Norths
from ..tasks.answer import Answer
from . import practice
from .practice import Landmark, Place
from .rounds import (
    APART_DEG,
    FAR_APART_DEG,
    TURNED,
    Choice,
    Draw,
    Round,
    by_shift,
    first_clear,
    in_order,
    shuffled,
)

LABELS_DEG = 20  # between printed numbers on the dial that is read; common on baseplates, no source
NO_DECLINATION = Norths(0.0, 0.0)
OFF_CARDINAL = tuple(
    degrees for degrees in range(360) if 20 <= degrees % 90 <= 70
)  # well inside a quarter, where neither a mirrored nor a reversed number hides


def _sighted(bearing_deg: float) -> Answer:
    """The sight of something at a bearing, where all norths are one."""
    here = Landmark("X", bearing_deg)
    return practice.along("", "sight", here, "magnetic", Place("", NO_DECLINATION, ()))


def _turned(draw: Draw, code: str, bearings: Iterable[int]) -> Round:
    """A round about which way something is turned on the plate."""
    made = []
    for bearing_deg in bearings:
        answer = _sighted(bearing_deg)
        choices = by_shift(answer, TURNED)
        number_deg = answer.expected_deg
        made.append(Round(code, answer, "ahead", choices, bearing_deg, number_deg))
    return first_clear(draw, made)


# --- hold and face


def hold(draw: Draw) -> Round:
    """How is the compass held?"""
    return shuffled(draw, _turned(draw, "hold", OFF_CARDINAL))


def ahead(draw: Draw) -> Round:
    """At what does the travel arrow point?"""
    landmarks = draw.own.landmarks
    flat = Place(draw.own.code, NO_DECLINATION, landmarks)
    made = []
    for target in landmarks:
        answer = practice.along("", "sight", target, "magnetic", flat)
        choices = tuple(
            Choice(mark.code, "ok" if mark == target else "other_target", mark.bearing_deg)
            for mark in landmarks
        )
        made.append(
            Round(
                "ahead",
                answer,
                target.code,
                choices,
                facing_deg=target.bearing_deg,
                number_deg=float(draw.rng.randrange(0, 360, 10)),
                landmarks=landmarks,
            )
        )
    return first_clear(draw, made)


# --- box the needle


def boxed(draw: Draw) -> Round:
    """In which drawing is the needle boxed?"""
    made = []
    for bearing_deg in OFF_CARDINAL:
        answer = _sighted(bearing_deg)
        choices = (
            *by_shift(answer, {code: TURNED[code] for code in ("ahead", "back", "right")}),
            # the dial was left at N, and the number under the needle's end is read
            Choice("left_at_north", "mirrored", wrap(-answer.expected_deg)),
        )
        made.append(Round("boxed", answer, "ahead", choices, bearing_deg))
    return shuffled(draw, first_clear(draw, made))


def turn(draw: Draw) -> Round:
    """Turn the housing until the needle is boxed: answered with the number at the index line."""
    answer = _sighted(draw.rng.choice(OFF_CARDINAL))
    # a start that is neither boxed already nor the wrong way round
    number_deg = wrap(answer.expected_deg + draw.rng.choice((-1, 1)) * draw.rng.randrange(60, 120))
    return Round("turn", answer, facing_deg=answer.expected_deg, number_deg=number_deg)


# --- read the dial


def where(draw: Draw) -> Round:
    """Where on the plate is the number read?"""
    return _turned(draw, "where", OFF_CARDINAL)


def read(draw: Draw) -> Round:
    """Which number stands at the index line? The wrong ones are counted down instead of up from the
    printed number before it, and read from the next printed numbers.
    """
    step = draw.graduation_deg
    made = []
    for number in range(0, 360, step):
        beyond = number % LABELS_DEG
        if not 0 < beyond < LABELS_DEG / 2:
            continue
        answer = _sighted(number)
        choices = (
            Choice("right", "ok", float(number)),
            Choice("down", "counted_back", wrap(number - 2.0 * beyond)),
            Choice("next", "ten_off", wrap(number + LABELS_DEG)),
            Choice("before", "ten_off", wrap(number - LABELS_DEG)),
        )
        made.append(Round("read", answer, "right", choices, number_deg=number, graduation_deg=step))
    apart_deg = min(APART_DEG, 2.0 * step)
    return in_order(first_clear(draw, made, apart_deg))


# --- which end


def needle(draw: Draw) -> Round:
    """Which end of the needle belongs into the orienting arrow?"""
    made = _turned(draw, "needle", OFF_CARDINAL)
    ends = tuple(choice for choice in made.choices if choice.code in ("ahead", "back"))
    return replace(made, choices=ends, number_deg=0.0)


QUARTERS = ("north_east", "south_east", "south_west", "north_west")


def _quarter(degrees: float) -> str:
    """The quarter of the circle in which a number lies."""
    return QUARTERS[int(degrees // 90)]


def quarter(draw: Draw) -> Round:
    """In which quarter of the circle does a number lie?"""
    made = []
    for bearing_deg in OFF_CARDINAL:
        answer = _sighted(bearing_deg)
        ways = (
            ("ok", bearing_deg),
            ("reversed", bearing_deg + 180),
            ("mirrored", -bearing_deg),
            ("quarter_turn", bearing_deg + 90),
            ("quarter_turn", bearing_deg - 90),
        )
        by_quarter: dict[str, Choice] = {}
        for cause, degrees in ways:
            code = _quarter(wrap(degrees))
            by_quarter.setdefault(code, Choice(code, cause, wrap(degrees)))
        choices = tuple(by_quarter[code] for code in QUARTERS)
        right = _quarter(bearing_deg)
        made.append(Round("quarter", answer, right, choices, seen_deg=bearing_deg))
    return first_clear(draw, made)


def slip(draw: Draw) -> Round:
    """Somebody's number is wrong: what happened? The right choice is the mistake that leads to
    it.
    """
    made = []
    for bearing_deg in OFF_CARDINAL:
        answer = _sighted(bearing_deg)
        choices = (
            *by_shift(answer, {"reversed": TURNED["back"], "quarter_turn": TURNED["right"]}),
            Choice("mirrored", "mirrored", wrap(-bearing_deg)),
        )
        made.append(Round("slip", answer, choices=choices))
    chosen = first_clear(draw, made, FAR_APART_DEG)
    happened = draw.rng.choice(chosen.choices)
    return shuffled(draw, replace(chosen, right=happened.code, seen_deg=happened.degrees))
