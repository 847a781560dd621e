"""The practice map: the site at an exact scale, with the lines that a baseplate compass is laid
along.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from ..domain.earth import geodesy
from ..domain.earth.norths import Norths
from ..drawing import signs
from . import map_frame, map_margin, map_marks
from .map_frame import MARGIN, TooLarge, flat
from .paper import Paper


@dataclass(frozen=True)
class MapSheet:
    """What is printed on the map besides the ground, ready to print; `north` is "grid" or "true",
    the north of the vertical lines, `up` what stands above them.

    `rule` is how a bearing is turned from that north to magnetic and back; `texts` the small print
    in order; `corner` gives the coordinates of a corner from metres east and north on the sheet;
    `marks` and `hazards` the words of the legend, by what is drawn.
    """

    title: str
    north: str
    scale: str
    up: str
    check: str
    rule: str
    texts: tuple[str, ...]
    corner: Callable[[float, float], str]
    norths: Norths
    not_to_scale: str
    legend: str
    marks: dict[str, str]
    hazards: dict[str, str]


@dataclass(frozen=True)
class Ground:
    """What lies on a map: a domain site and the position of its middle, hazards as in the domain,
    the codes of points that the map must not show, and lettered spots by code as positions."""

    site: object
    middle: geodesy.Position
    hazards: list
    sought: frozenset = frozenset()
    lettered: dict = field(default_factory=dict)


def map_sheet(ground, sheets, sheet, title):
    """The practice map as a PDF, a page for each north that is wanted: `sheets` are functions from
    the scale's denominator to a `MapSheet`. Raises TooLarge.
    """
    pdf = Paper(sheet, title)
    draw_sheets(pdf, ground, sheets, sheet)
    return pdf.finished()


def draw_sheets(pdf, ground, sheets, sheet):
    """Each on a page of its own. Raises TooLarge."""
    for words in sheets:
        _draw_sheet(pdf, ground, words, sheet)


def frame(ground, words, sheet):
    """How a site fits on a sheet, as `Frame`: with all lettered spots where that can be, else with
    its points alone, and an arrow leads to what lies beyond. Raises TooLarge.
    """
    north = words(1).north
    here = [point.position for point in ground.site.points.values()] or [ground.middle]
    points = [flat(ground, position, north) for position in here]
    spots = [flat(ground, position, north) for position in ground.lettered.values()]
    entries = _all_entries(ground, words(1))

    def round_map(scale, page):
        return map_margin.round_map(words(scale), entries, page)

    try:
        return map_frame.fit([*points, *spots], sheet, round_map)
    except TooLarge:
        return map_frame.fit(points, sheet, round_map)


def _all_entries(ground, texts):
    """The legend if all that the ground holds lay on the sheet, for the room that it takes."""
    letters = map_marks.letters()
    found = [map_marks.Lettered(next(letters), hazard, [], []) for hazard in ground.hazards]
    kinds = {signs.sign_of(point) for point in ground.site.points.values()}
    return map_marks.legend(
        texts, kinds | ({"spot", "beyond"} if ground.lettered else set()), found
    )


def _draw_sheet(pdf, ground, words, sheet):
    fitted = frame(ground, words, sheet)
    texts = words(fitted.scale)
    pdf.begin(fitted.sheet)
    found = map_marks.hazards_on(ground, fitted, texts.north)
    map_marks.draw_grounds(pdf, found, fitted)
    map_marks.draw_lines(pdf, fitted, has_crosses=texts.north == "grid")
    map_marks.draw_hazards(pdf, found, fitted)
    at = {
        code: fitted.on_paper(*flat(ground, point.position, texts.north))
        for code, point in ground.site.points.items()
        if code not in ground.sought
    }
    crosses = {
        code: fitted.on_paper(*flat(ground, position, texts.north))
        for code, position in ground.lettered.items()
    }
    kinds = map_marks.draw_marks(pdf, ground, at, crosses, found, fitted)
    left, top, right, bottom = fitted.box
    pdf.box(left, top, right - left, bottom - top, line=0.35)
    rest = map_margin.draw(pdf, texts, map_marks.legend(texts, kinds, found), fitted)
    while rest:
        rest = _legend_page(pdf, texts, rest)


def _legend_page(pdf, texts, entries):
    """A page for what the legend had no room for. Returns what is left even so."""
    pdf.begin()
    wide = pdf.sheet.width - 2 * MARGIN
    y = pdf.paragraph(texts.title, MARGIN, MARGIN, wide, 13.0, bold=True) + 3.0
    return map_margin.legend(pdf, texts, entries, MARGIN, y, wide, pdf.sheet.height - y - MARGIN)
