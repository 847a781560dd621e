"""Coordinates that stand in each other's cells, or have each other's letters: the cells as they
would be after an exchange, where that is what keeps a row away from its site.
"""

from ..domain.earth.coordinates import is_place
from . import row_cells, slips

PAIRS = (("latitude", "longitude"), ("easting", "northing"))
OTHER_AXIS = str.maketrans("NSEWOnsewo", "EWNSSewnss")
SEPARATORS = ";,"


def exchanged(cells, epsg, near):
    """The cells to change, {key of FIELDS: text}, of a row that cannot be read as it stands or lies
    far away, and near the site after an exchange: there, or with a sign besides that is wrong.
    Empty where an exchange brings nothing.
    """
    for changes in _ways(cells):
        if _is_there_but_for_signs({**cells, **changes}, epsg, near):
            return {} if _is_there_but_for_signs(cells, epsg, near) else changes
    return {}


def _is_there_but_for_signs(cells, epsg, near):
    """Whether the place of a row lies near the site, or would if its signs were right."""
    try:
        position = row_cells.read_place(cells, epsg, near).position
    except row_cells.WrongCell:
        return False
    return slips.is_near(position, near) or bool(slips.wrong_sign(position, near))


def _ways(cells):
    """The ways to exchange what stands in the cells of a row."""
    for first, second in PAIRS:
        if cells.get(first) and cells.get(second):
            yield {first: cells[second], second: cells[first]}
            yield {
                first: cells[second].translate(OTHER_AXIS),
                second: cells[first].translate(OTHER_AXIS),
            }
    for text in _texts(cells.get("place", "")):
        if is_place(text):  # tells it sooner than a reader that says what is wrong
            yield {"place": text}


def _texts(place):
    """A place with its halves exchanged, where it has two, and with the letters of the other
    axis.
    """
    separator = next((mark for mark in SEPARATORS if place.count(mark) == 1), None)
    if separator:
        first, second = (half.strip() for half in place.split(separator))
        yield f"{second}{separator} {first}"
    yield place.translate(OTHER_AXIS)
