"""How the declination is applied at a place, as a sentence to be said aloud."""

from .. import vocabulary
from ..domain.tasks.kinds import kind_of
from ..languages import tell


def place_sentence(answer):
    """How the declination is applied at this place for what a task asks: `From magnetic to true
    here, add 24°.`
    """
    return sentence_between(answer.norths, *kind_of(answer.kind).arithmetic(answer))


def sentence_between(norths, begin, end):
    """How a bearing is turned from one north into another at this place."""
    if begin == end:
        return tell("Where magnetic is asked, leave the number as the compass gives it.")
    angle_deg = norths.correction(begin, end)
    values = {"begin": vocabulary.NORTHS[begin], "end": vocabulary.NORTHS[end]}
    if angle_deg >= 0:
        return tell("From {begin} to {end} here, add {degrees:.0f}°.", degrees=angle_deg, **values)
    return tell(
        "From {begin} to {end} here, take away {degrees:.0f}°.", degrees=-angle_deg, **values
    )


def declination_text(declination_deg):
    """A declination to the whole degree: `12° east`."""
    if declination_deg >= 0:
        return tell("{degrees:.0f}° east", degrees=float(declination_deg))
    return tell("{degrees:.0f}° west", degrees=float(-declination_deg))
