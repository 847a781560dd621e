"""A surveyed traverse in words, ready to print: how it closes, which leg to look at, its legs and
its corners.
"""

from ..domain.earth import geodesy
from ..domain.earth.angles import three_digits, wrap
from ..domain.earth.ellipse import added
from ..domain.surveying.survey import OUTLIER_SIGMAS
from ..drawing.traverse import traverse_plan
from ..languages import local, tell, tell_many, tell_signed
from .probabilities import percent
from .surveys import metres_text, place_text

SHOWN_SLIPS, LEAST_SHOWN = 4, 0.03  # legs that are shown as suspects, and how probable at least
ENDS_SIGMAS = 3.0  # by which the two ends of a leg may disagree; common practice, no source


def traverse_text(surveyed, points, form):
    """Everything that the page shows of a traverse (`SurveyedTraverse`, None before there is one).
    `points` are those of the site by code, as plain values; `form` knows what was typed.
    """
    if surveyed is None:
        return {"closing": None, "corners": []}
    start = points[surveyed.legs[0].start]
    looked_at = _looked_at(surveyed)
    legs = [_leg(leg, form.cleaned_data) for leg in surveyed.legs]
    return {
        "closing": _closing(surveyed),
        "is_believable": surveyed.adjustment.is_believable,
        "look_at": _look_at(surveyed),
        "suspects": _suspects(surveyed),
        "legs": legs,
        "odd_legs": [leg for leg in legs if leg["remarks"]],
        "corners": [_corner(corner, points.get(corner.code), form) for corner in surveyed.corners],
        "with_declination": _with_declination(surveyed),
        "plan": traverse_plan(surveyed, points, start.position, looked_at),
    }


def _closing(surveyed):
    """How the traverse closes: (what, number) pairs."""
    adjustment, end = surveyed.adjustment, surveyed.legs[-1].to
    missed = adjustment.misclosure
    rows = [
        (tell("Length of the way"), f"{metres_text(missed.length_m)} m"),
        (
            tell("Misses {end} by", end=end),
            tell(
                "{metres} m ({east_m} m east, {north_m} m north)",
                metres=_metres(missed.linear_m),
                east_m=tell_signed(missed.east_m, 2),
                north_m=tell_signed(missed.north_m, 2),
            ),
        ),
        (tell("Precision ratio"), _ratio(adjustment.ratio)),
        (
            tell("Compass and tape allow, one sigma"),
            f"{_metres(adjustment.allowed_m)} m",
        ),
        (tell("So bad by chance alone"), percent(adjustment.chance)),
        (tell("Variance factor after adjustment"), local(f"{adjustment.variance_factor:.2f}")),
    ]
    if surveyed.angular_misclosure_deg is not None:
        rows.append(
            (
                tell("Angles miss whole turns by"),
                f"{tell_signed(surveyed.angular_misclosure_deg, 1)}°",
            )
        )
    return rows


def _metres(metres):
    """Metres to the centimetre, where they are few."""
    return local(f"{metres:.2f}") if metres < 100 else metres_text(metres)


def _ratio(ratio):
    """A precision ratio, `1 : 850`: to two figures, as surveyors say it."""
    if ratio is None:
        return tell("it closes")
    magnitude = 10 ** max(0, len(str(int(ratio))) - 2)
    return f"1 : {round(ratio / magnitude) * magnitude:.0f}"


def _with_declination(surveyed):
    """By which declination the bearings were turned; empty where they were not magnetic."""
    if surveyed.declination_deg is None:
        return ""
    return tell(
        "Magnetic bearings turned with the declination of that day, {degrees}°.",
        degrees=tell_signed(surveyed.declination_deg, 1),
    )


def _leg_name(leg):
    """A leg in short: `A → P1`."""
    return f"{leg.start} → {leg.to}"


def _looked_at(surveyed):
    """The numbers of the legs to look at."""
    suspicion = surveyed.suspicion
    if suspicion is None:
        return ()
    return (suspicion.named,) if suspicion.named is not None else suspicion.alike()


def _look_at(surveyed):
    """What to look at, in a sentence or two."""
    suspicion = surveyed.suspicion
    if suspicion is None:
        return tell("That is no more than compass and tape allow.")
    names = [_leg_name(surveyed.legs[number]) for number in _looked_at(surveyed)]
    if suspicion.named is not None:
        return tell("Measure {leg} again: the slip is most probably there.", leg=names[0])
    if names:
        return tell(
            "Which leg it is cannot be told, for they run the same way. Measure again: {legs}.",
            legs=", ".join(names),
        )
    if suspicion.none_probability > 0.5:
        return tell(
            "No one leg explains it well. Perhaps compass and tape are less certain than stated."
        )
    return tell("Which leg it is cannot be told from this alone. Begin with those below.")


def _suspects(surveyed):
    """The legs that may hold the slip, the likeliest first, and what would explain it best."""
    suspicion = surveyed.suspicion
    if suspicion is None:
        return []
    return [
        {
            "leg": _leg_name(surveyed.legs[number]),
            "probability": percent(probability),
            **_slip(next(slip for slip in suspicion.slips if slip.number == number), surveyed),
        }
        for number, probability in suspicion.ranked()[:SHOWN_SLIPS]
        if probability >= LEAST_SHOWN
    ]


def _slip(slip, surveyed):
    """What a slip would be, and how far the way would miss without it."""
    leg = surveyed.legs[slip.number]
    bearing_deg = wrap(slip.leg.bearing_deg - surveyed.turned_deg)
    return {
        "what": SLIPS[slip.cause](
            length=_length(slip.leg.distance_m),
            measured=_length(leg.distance.value),
            bearing=_read(bearing_deg),
            read=_read(leg.bearing.value),
        ),
        "left": f"{_metres(slip.left_m)} m",
    }


SLIPS = {
    "length": lambda **said: tell("{length} m long instead of {measured} m", **said),
    "bearing": lambda **said: tell("bearing {bearing} instead of {read}", **said),
    "reversed": lambda **said: tell("read backwards: {bearing} instead of {read}", **said),
    "bearing_digits": lambda **said: tell(
        "two digits exchanged: {bearing} instead of {read}", **said
    ),
    "length_digits": lambda **said: tell(
        "two digits exchanged: {length} m instead of {measured} m", **said
    ),
}


def _length(metres):
    return local(f"{metres:.1f}")


def _read(degrees):
    return f"{local(three_digits(degrees, 1))}°"


def _leg(leg, measured):
    """A leg by its set: means, standard errors, spreads, and what is odd."""
    return {
        "name": _leg_name(leg),
        "bearing": _read(leg.bearing.value),
        "bearing_error": f"± {local(f'{leg.bearing.standard_error:.1f}')}°",
        "bearing_set": _set(leg.bearing, "°", 1),
        "distance": f"{local(f'{leg.distance.value:.2f}')} m",
        "distance_error": f"± {metres_text(leg.distance.standard_error)} m",
        "distance_set": _set(leg.distance, " m", 2),
        "ends": ""
        if leg.fore_minus_back_deg is None
        else f"{tell_signed(leg.fore_minus_back_deg, 1)}°",
        "remarks": _remarks(leg, measured["bearing_error_deg"]),
    }


def _set(mean, unit, decimals):
    """How many measurements, and how they scatter."""
    if mean.spread is None:
        return tell("once")
    return tell_many(
        "{number} time, spread {spread}",
        "{number} times, spread {spread}",
        mean.number,
        spread=f"{local(f'{mean.spread:.{decimals}f}')}{unit}",
    )


def _remarks(leg, bearing_error_deg):
    """What is odd about a leg's set."""
    remarks = []
    if leg.strange_lines:
        remarks.append(
            tell_many(
                "Line {lines} lies far from the rest of its set.",
                "Lines {lines} lie far from each other.",
                len(leg.strange_lines),
                lines=", ".join(str(line) for line in leg.strange_lines),
            )
        )
    allowed_deg = ENDS_SIGMAS * 2**0.5 * bearing_error_deg
    if leg.fore_minus_back_deg is not None and abs(leg.fore_minus_back_deg) > allowed_deg:
        remarks.append(tell("Its ends disagree: look for iron at one of them."))
    return remarks


def _corner(corner, there, form):
    """A corner: where it comes to lie, and what becomes of it."""
    by_rule_m = geodesy.apart_m(corner.adjusted, corner.bowditch)
    return {
        "code": corner.code,
        "place": place_text(corner.adjusted, corner.ellipse),
        "shifted": _metres(geodesy.apart_m(corner.adjusted, corner.measured)),
        "by_rule": _metres(by_rule_m),
        "old": place_text(there.position, there.error) if there else "",
        "moved": _metres(geodesy.apart_m(corner.adjusted, there.position)) if there else "",
        "is_far": there is not None and _is_far(corner, there),
        "is_new": there is None,
        "name": form.name_of(corner.code),
        "mark": form.mark_of(corner.code),
    }


def _is_far(corner, there):
    """Whether a corner lies farther from the point that is there than chance allows."""
    apart_m = geodesy.apart_m(corner.adjusted, there.position)
    if apart_m < geodesy.MILLIMETRE:
        return False
    line = geodesy.sight_line(there.position, corner.adjusted)
    allowed_m = added(corner.ellipse, there.error).along(line.bearing_deg)
    return apart_m > OUTLIER_SIGMAS * allowed_m
