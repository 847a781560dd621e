"""All that a class needs on paper in one file, in the order in which it is wanted: the map, the
cards to hang up, the sheets to hand out.
"""

from . import cards, map_sheet, sheets
from .paper import Paper


def pack(title, sheet, layout, ground, station_cards, lines_and_heads, names):
    """One PDF. `ground` is what `map_sheet.map_sheet` takes before the sheet, `lines_and_heads`
    what `sheets.draw_participant` takes. The key is never in it.
    """
    pdf = Paper(sheet, title)
    map_sheet.draw_sheets(pdf, *ground, sheet)
    cards.draw_cards(pdf, station_cards, layout)
    for name in names:
        sheets.draw_participant(pdf, *lines_and_heads, sheet, name)
    return pdf.finished()
