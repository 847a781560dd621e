"""The end of the magnetic model, told to the instructor in time."""

from django.utils.formats import date_format

from ..domain.earth import magnetics
from ..languages import tell


def model_end_text(today):
    """What is to be said of it on a day; empty while it is more than a year away."""
    ending = magnetics.ending(today)
    if ending is None:
        return ""
    if ending.is_over:
        return tell(
            "The magnetic model ended on {day}: no class can be made for that day or a later one. "
            "What was held keeps its key and its debrief. Ask who runs this server to bring the "
            "program up to date.",
            day=date_format(ending.day, "DATE_FORMAT"),
        )
    return tell(
        "The magnetic model ends on {day}: no class can be made for that day or a later one. Ask "
        "who runs this server to bring the program up to date before.",
        day=date_format(ending.day, "DATE_FORMAT"),
    )
