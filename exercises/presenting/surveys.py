"""Places and surveys in words, ready to print."""

from .. import vocabulary
from ..domain.earth.angles import three_digits
from ..domain.surveying import survey
from ..domain.words import say
from ..drawing.plan import bearing_text
from ..languages import local, tell, told

LETTERS = {"W": say("W"), "E": say("E")}
ACTIONS = {
    "new": say("new point"),
    "survey": say("survey again"),
    "named": say("new name or mark"),
    "same": say("left as it is"),
    "refused": say("refused"),
}


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


def row_text(row):
    """A row of an import, ready to print."""
    return {
        "row": row,
        "action": told(ACTIONS[row.action]),
        "problem": told(row.problem),
        "remarks": [told(remark) for remark in row.remarks],
        "place": place_text(row.position, row.ellipse) if row.action != "refused" else "",
        "notation": told(vocabulary.NOTATIONS[row.place.notation]) if row.place else "",
        "moved": tell("{metres} m from where it is", metres=metres_text(row.moved_m))
        if row.moved_m and row.action == "survey"
        else "",
        "takes": row.action in ("new", "survey", "named"),
    }


def survey_rows(surveys):
    """The surveys of a point ready to print: how, when, where from the mean of those in use, and
    whether that is too far to be chance.
    """
    used = [one for one in surveys if not one.is_set_aside]
    together = survey.combine([one.as_domain() for one in used]) if used else None
    numbers = {one.pk: number for number, one in enumerate(used)}
    return [
        {
            "survey": one,
            "how": survey_text(one),
            "place": place_text(one.as_domain().position, one.as_domain().ellipse),
            "off": metres_text(together.off_m[numbers[one.pk]]) if one.pk in numbers else "",
            "is_outlier": one.pk in numbers and together.outliers[numbers[one.pk]],
        }
        for one in surveys
    ]


def survey_text(one):
    """How a survey was made, in a sentence."""
    details = one.details
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
    if how == "file":
        said = tell("{source}, line {line}.", source=details["source"], line=details["line"])
        return f"{said} {details['transformation']}" if details.get("transformation_m") else said
    return {"typed": tell("Typed."), "dragged": tell("Moved on the map.")}.get(
        how, tell("As it stood.")
    )
