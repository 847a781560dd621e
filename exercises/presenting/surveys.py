"""Places and surveys in words, ready to print."""

from ..domain.earth.angles import three_digits
from ..domain.surveying import survey
from ..domain.words import say
from ..drawing.plan import bearing_text, plan
from ..languages import local, tell, tell_many

BENT_M = 0.5  # rounds to a metre: from here the distance on the map is not the one measured
LETTERS = {"W": say("W"), "E": say("E")}


def place_text(position, ellipse):
    """A position and how well it is known: `45.130200° S, 170.100300° E, ± 2.1 m`."""
    letters = "SN"[position.latitude_deg >= 0], "WE"[position.longitude_deg >= 0]
    return tell(
        "{latitude}° {north}, {longitude}° {east}, {error}",
        latitude=local(f"{abs(position.latitude_deg):.6f}"),
        longitude=local(f"{abs(position.longitude_deg):.6f}"),
        north=letters[0],
        east=LETTERS[letters[1]],
        error=error_of_place(ellipse),
    )


def on_plan(ground, middle):
    """The plan of a site, to see where a point of it lies."""
    return plan(ground, middle)


def error_of_place(ellipse):
    """A standard error in metres, or its two axes where they differ."""
    if ellipse.major_m < 1.2 * ellipse.minor_m:
        return tell("± {metres} m", metres=metres_text(ellipse.accuracy_m))
    return tell(
        "± {major} m along {azimuth}°, {minor} m across",
        major=metres_text(ellipse.major_m),
        minor=metres_text(ellipse.minor_m),
        azimuth=three_digits(ellipse.azimuth_deg),
    )


def metres_text(metres):
    """Metres to two figures or to the centimetre."""
    return local(
        f"{metres:.0f}" if metres >= 10 else f"{metres:.1f}" if metres >= 1 else f"{metres:.2f}"
    )


def bent_text(radiation):
    """What the uncertainty of its bearing does to a point that was measured along a long line;
    empty where that is less than is worth a word.

    >>> from types import SimpleNamespace
    >>> bent_text(SimpleNamespace(nearer_m=0.4))
    ''
    """
    if radiation.nearer_m < BENT_M:
        return ""
    return tell(
        "Over so long a line an uncertain bearing bends where the point may lie into a bow: it is "
        "put {metres:.0f} m nearer than you measured. Measure it from a nearer point, or from a "
        "second one as well.",
        metres=radiation.nearer_m,
    )


def survey_rows(surveys):
    """The surveys of a point ready to print: how, when, where from the mean of those in use, and
    whether that is too far to be chance.
    """
    used = [row for row in surveys if not row.is_set_aside]
    together = survey.combine([row.as_domain() for row in used]) if used else None
    numbers = {row.pk: number for number, row in enumerate(used)}
    return [
        {
            "survey": row,
            "how": survey_text(row),
            "place": place_text(row.as_domain().position, row.as_domain().ellipse),
            "off": metres_text(together.off_m[numbers[row.pk]]) if row.pk in numbers else "",
            "is_outlier": row.pk in numbers and together.outliers[numbers[row.pk]],
        }
        for row in surveys
    ]


def _with_change(line, details):
    """Where a survey came from, and by which operation to WGS 84."""
    if not details.get("transformation_m"):
        return line
    if details.get("transformation_is_stated", True):
        return f"{line} {details['transformation']}"
    return tell(
        "{line} {system} taken for WGS 84: {metres} m assumed.",
        line=line,
        system=details["transformation"],
        metres=metres_text(details["transformation_m"]),
    )


def survey_text(row):
    """How a survey was made, in a sentence."""
    details = row.details
    how = details.get("how")
    if how == "phone":
        return tell(
            "A phone on the mark: {fixes} positions in {seconds} s, scatter {scatter} m.",
            fixes=details["fixes"],
            seconds=details["seconds"],
            scatter=metres_text(details["scatter_m"]),
        )
    if how == "radiated":
        return tell(
            "From {start}: {bearing}, {distance} m.",
            start=details["from"],
            bearing=bearing_text(details["bearing_deg"], details["north"]),
            distance=metres_text(details["distance_m"]),
        )
    if how == "traverse":
        return tell_many(
            "Traverse of {number} leg from {start} to {end}, which it missed by {metres} m.",
            "Traverse of {number} legs from {start} to {end}, which it missed by {metres} m.",
            details["legs"],
            start=details["from"],
            end=details["to"],
            metres=metres_text(details["missed_m"]),
        )
    if how == "file":
        line = tell("{source}, line {line}.", source=details["source"], line=details["line"])
        return _with_change(line, details)
    return {"typed": tell("Typed."), "dragged": tell("Moved on the map.")}.get(
        how, tell("As it stood.")
    )
