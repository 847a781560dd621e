"""A check of a set of compasses in words."""

from ..domain.running.set_check import LIMIT_DEG, Finding
from ..domain.words import say
from ..drawing.plan import bearing_text
from ..languages import tell, tell_signed, told
from .lengths import desk_length
from .probabilities import percent

SAID = {
    Finding.SOUND: say("sound"),
    Finding.READ_AGAIN: say("read it again"),
    Finding.OFF: say("withdraw it"),
    Finding.REVERSED: say("its needle points south: withdraw it, and re-magnetise it"),
}


def set_check_text(found):
    """What was found, ready to print: the line, each compass with what to do, and the rule."""
    return {
        "line": tell(
            "The line by all of them: {bearing} ± {error:.1f}°.",
            bearing=bearing_text(found.line_deg, "magnetic", 1),
            error=1.96 * found.line_error_deg,
        ),
        "rows": [_row(compass) for compass in found.compasses],
        "odd": sum(compass.finding != Finding.SOUND for compass in found.compasses),
        "rule": tell(
            "A compass that varies by more than {limit:.0f}° is not to be used (US Army field "
            "manual 3-25.26, chapter 9).",
            limit=LIMIT_DEG,
        ),
    }


def _row(compass):
    return {
        "number": compass.number,
        "is_odd": compass.finding != Finding.SOUND,
        "finding": told(SAID[compass.finding]),
        "offset": tell(
            "{degrees} ± {error:.1f}°",
            degrees=tell_signed(compass.offset_deg, 1),
            error=1.96 * compass.error_deg,
        )
        if compass.finding != Finding.REVERSED
        else "",
        "beyond": percent(
            compass.is_reversed if compass.finding == Finding.REVERSED else compass.beyond
        ),
    }


def line_choices(lines):
    """The lines of a site to choose from: (code, words)."""
    return [
        (
            line.code,
            tell(
                "{station} → {target}: {bearing}, {length}",
                station=line.station,
                target=line.target,
                bearing=bearing_text(line.bearing_deg, "magnetic", 1),
                length=desk_length(line.distance_m),
            ),
        )
        for line in lines
    ]
