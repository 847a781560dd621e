"""What a check found of lines of position, in words, and the known point that mends it."""

from ..domain.earth.angles import wrap
from ..domain.planning.position_cures import Mend
from ..domain.planning.position_geometry import OFFSET_DEG
from ..domain.words import Words, say

TOWARDS = (
    say("to the north"),
    say("to the north-east"),
    say("to the east"),
    say("to the south-east"),
    say("to the south"),
    say("to the south-west"),
    say("to the west"),
    say("to the north-west"),
)


def towards(bearing_deg: float) -> Words:
    """A direction in words: the nearest of eight.

    >>> str(towards(350.0)), str(towards(100.0))
    ('to the north', 'to the east')
    """
    return TOWARDS[round(wrap(bearing_deg) / 45.0) % 8]


def _shorter(otherwise):
    """What another known point makes of the ellipse, or else what to do."""

    def cure(task, values):
        mend: Mend | None = values.get("mend")
        if mend is None:
            return otherwise(values)
        named = {"point": mend.point, "direction": towards(mend.towards_deg)}
        if not mend.instead:
            return say(
                "Take {point} as well, {direction}: ± {metres:.0f} m.",
                metres=mend.ellipse_m,
                **named,
            )
        return say(
            "Take {point}, {direction}, instead of {instead}: ± {metres:.0f} m.",
            instead=mend.instead,
            metres=mend.ellipse_m,
            **named,
        )

    return cure


def _opened(task, values):
    """What another known point makes of the triangle, or else what to do."""
    mend: Mend | None = values.get("mend")
    if mend is None:
        return say(
            "Choose known points all round the place, or a middle one much nearer than the others."
        )
    return say(
        "Take {point}, {direction}, instead of {instead}: a compass that is off by {degrees:.0f}° "
        "then opens the triangle to {metres:.0f} m, where sound lines leave {usual:.0f} m.",
        point=mend.point,
        direction=towards(mend.towards_deg),
        instead=mend.instead,
        degrees=OFFSET_DEG,
        metres=mend.triangle_m,
        usual=mend.usual_m,
    )


def _closes_falsely(task, values):
    numbers = {
        "degrees": abs(values["turned_deg"]),
        "side": values["triangle_m"],
        "usual": values["usual_m"],
        "moved": values["moved_m"],
    }
    if values["is_declination"]:
        return say(
            "Who leaves out the declination of {degrees:.0f}° comes out {moved:.0f} m off, and the "
            "triangle closes to {side:.0f} m; sound lines leave {usual:.0f} m. A small triangle "
            "proves nothing here.",
            **numbers,
        )
    return say(
        "A compass that is off by {degrees:.0f}° puts the place {moved:.0f} m off, and the "
        "triangle closes to {side:.0f} m; sound lines leave {usual:.0f} m. A small triangle proves "
        "nothing here.",
        **numbers,
    )


def _danger_circle(task, values):
    numbers = {
        "off": values["off_m"],
        "points": ", ".join(values["points"]),
        "radius": values["radius_m"],
        "degrees": abs(values["turned_deg"]),
        "moved": values["moved_m"],
        "side": values["triangle_m"],
    }
    left_out = values["left_out"]
    if left_out:
        return say(
            "The place lies {off:.0f} m from the danger circle through {points} (radius "
            "{radius:.0f} m): bearings that are all {degrees:.0f}° off put it {moved:.0f} m off, a "
            "declination of {declination:.0f}° left out {far:.0f} m, and the triangle closes to "
            "{side:.0f} m all the same.",
            declination=abs(left_out.turned_deg),
            far=left_out.moved_m,
            **numbers | {"side": max(values["triangle_m"], left_out.side_m)},
        )
    return say(
        "The place lies {off:.0f} m from the danger circle through {points} (radius {radius:.0f} "
        "m): bearings that are all {degrees:.0f}° off put it {moved:.0f} m off, and the triangle "
        "closes to {side:.0f} m all the same.",
        **numbers,
    )


WHAT = {
    "wide_place": lambda task, values: say(
        "Sound lines leave ± {metres:.0f} m along {azimuth:03.0f}° true, more than the {band:g} m "
        "of full credit.",
        metres=values["ellipse_m"],
        azimuth=values["azimuth_deg"],
        band=values["band_m"],
    ),
    "middle_spoilt": lambda task, values: say(
        "With the line of {point} the middle of the triangle is ± {with_it:.0f} m, without it "
        "± {without:.0f} m: it cuts that of {other} at {degrees:.0f}°.",
        point=values["point"],
        other=values["other"],
        with_it=values["with_m"],
        without=values["without_m"],
        degrees=values["cut_deg"],
    ),
    "danger_circle": _danger_circle,
    "closes_falsely": _closes_falsely,
}

CURES = {
    "poor_cut": _shorter(
        lambda values: say(
            "Choose known points that lie nearer to a right angle as seen from there; "
            "{least:.0f}° is the least.",
            least=values["least_deg"],
        )
    ),
    "wide_place": _shorter(
        lambda values: say("Choose nearer known points, or widen the full-credit band.")
    ),
    "middle_spoilt": _shorter(
        lambda values: say("Leave {point} out.", point=values["point"]),
    ),
    "danger_circle": _opened,
    "closes_falsely": _opened,
}
