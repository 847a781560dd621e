"""What opening a class means, said before it is opened."""

from django.utils.formats import date_format

from ..languages import tell, tell_many


def opening_text(answers, on):
    """Sentences for the answers that would be frozen for a day; at least one answer."""
    east = [answer.norths.declination_deg for answer in answers]
    return {
        "frozen": tell_many(
            "The answer of {number} task is frozen as the key, reckoned for {day}.",
            "The answers of {number} tasks are frozen as the key, reckoned for {day}.",
            len(answers),
            day=date_format(on, "DATE_FORMAT"),
        ),
        "declination": _declination_text(min(east), max(east)),
    }


def _declination_text(least_deg, most_deg):
    """The declination at the stations, or its range where that shows in the first decimal."""
    least, most = _side(least_deg), _side(most_deg)
    if least == most:
        return tell("The declination there on that day: {declination}.", declination=least)
    return tell(
        "The declination there on that day: from {least} to {most}.", least=least, most=most
    )


def _side(declination_deg):
    """A declination, east positive, with its side in words."""
    if declination_deg < 0:
        return tell("{degrees:.1f}° west", degrees=-declination_deg)
    return tell("{degrees:.1f}° east", degrees=declination_deg)
