"""What stands round a map: title, scale, corners and figures of the grid; below it the bar of the
scale, the line to check the printer with, the rule between the norths with its diagram, the romer,
the legend, and how it all was surveyed.
"""

import math

from ..drawing import norths as diagrams
from . import paper
from .hazard_signs import SAMPLE_MM
from .map_frame import MARGIN, ROUND_M, lines_every_m
from .map_marks import level_strokes, vertical_lines

EDGE_MM = 8.0  # kept empty at the paper's upper and lower edge
GAP_MM = 3.0
TITLE_POINTS, LEAST_TITLE_POINTS, SCALE_POINTS = 13.0, 10.0, 11.0
RULE_POINTS, LEAST_RULE_POINTS, TEXT_POINTS, FIGURE_POINTS = 10.5, 8.5, 7.5, 6.5
CHECK_MM = 100.0
BELOW_MM = 9.0  # figures and corners under the map
DIAGRAM_WIDE_MM, DIAGRAM_HIGH_MM, NEEDLE_MM = 44.0, 38.0, 24.0
LETTER_MM = TEXT_POINTS / paper.MM * paper.CAP_HEIGHT
LEGEND_WIDE_MM, LEGEND_MOST_MM, ENTRY_MM = 62.0, 60.0, 5.2
BESIDE_MM = 250.0  # from which width of paper the legend stands beside all else
ROMER_TICKS_M = (1, 2, 5, 10, 20, 50, 100)


def round_map(texts, entries, page):
    """What head and foot take on a page, millimetres."""
    return _head(texts, page)[1], _foot_mm(texts, entries, page)


def _head(texts, page):
    """The points of the title, and the height of the head."""
    wide = _title_wide(texts, page)
    points = paper.fitting(texts.title, wide, TITLE_POINTS, LEAST_TITLE_POINTS, bold=True)
    return points, EDGE_MM + paper.tall(texts.title, wide, points, bold=True) + 5.0


def _title_wide(texts, page):
    scale_wide = paper.width(texts.scale, SCALE_POINTS, bold=True)
    return page.width - 2 * MARGIN - scale_wide - 6.0


def _foot_mm(texts, entries, page):
    legend_mm = min(_legend_mm(entries, _legend_wide(page)), LEGEND_MOST_MM)
    upper, lower = _upper_mm(texts), _texts_mm(texts, page)
    if _is_beside(page):
        return BELOW_MM + max(upper + GAP_MM + lower, legend_mm) + EDGE_MM
    return BELOW_MM + upper + GAP_MM + max(lower, legend_mm) + EDGE_MM


def _is_beside(page):
    return page.width >= BESIDE_MM


def _legend_wide(page):
    return page.width - 2 * MARGIN - _cells_wide() - 5.0 if _is_beside(page) else LEGEND_WIDE_MM


def _cells_wide():
    """The widest that bar, diagram and romer take side by side."""
    return CHECK_MM + 2 * GAP_MM + DIAGRAM_WIDE_MM + 34.0


def _upper_mm(texts):
    check = paper.tall(texts.check, CHECK_MM, TEXT_POINTS)
    rule = paper.tall(texts.rule, CHECK_MM, _rule_points(texts), bold=True)
    return max(13.5 + check + 1.5 + rule, DIAGRAM_HIGH_MM)


def _rule_points(texts):
    return paper.fitting(texts.rule, CHECK_MM, RULE_POINTS, LEAST_RULE_POINTS, bold=True)


def _text_columns(texts, page):
    """The width of a column of text, and the texts of each."""
    wide = page.width - 2 * MARGIN
    if not _is_beside(page):
        return wide - LEGEND_WIDE_MM - 5.0, [texts.texts]
    column = (_cells_wide() - 5.0) / 2
    heights = [paper.tall(text, column, TEXT_POINTS) for text in texts.texts]
    first = next(
        count
        for count in range(1, len(heights) + 1)
        if sum(heights[:count]) >= sum(heights[count:])
    )
    return column, [texts.texts[:first], texts.texts[first:]]


def _texts_mm(texts, page):
    wide, columns = _text_columns(texts, page)
    return max(
        sum(paper.tall(text, wide, TEXT_POINTS) + 0.6 for text in column) for column in columns
    )


def draw(pdf, texts, entries, fitted):
    """All of it but the map. Returns the entries of the legend for which there was no room."""
    _draw_head(pdf, texts, fitted)
    _corners(pdf, texts, fitted)
    if texts.north == "grid":
        _figures(pdf, fitted)
    page, top = fitted.sheet, fitted.box[3] + BELOW_MM
    _left_cell(pdf, texts, fitted.scale, top)
    draw_norths(pdf, texts, MARGIN + CHECK_MM + GAP_MM, top)
    if texts.north == "grid":
        romer(pdf, fitted.scale, MARGIN + CHECK_MM + DIAGRAM_WIDE_MM + 2 * GAP_MM, top)
    below = top + _upper_mm(texts) + GAP_MM
    wide, columns = _text_columns(texts, page)
    for place, column in enumerate(columns):
        y = below
        for text in column:
            y = pdf.paragraph(text, MARGIN + place * (wide + 5.0), y, wide, TEXT_POINTS) + 0.6
    legend_wide = _legend_wide(page)
    legend_top = top if _is_beside(page) else below
    most_mm = page.height - EDGE_MM - legend_top
    left = page.width - MARGIN - legend_wide
    return legend(pdf, texts, entries, left, legend_top, legend_wide, most_mm)


def _draw_head(pdf, texts, fitted):
    points, _ = _head(texts, fitted.sheet)
    wide, right = _title_wide(texts, fitted.sheet), fitted.sheet.width - MARGIN
    pdf.paragraph(texts.title, MARGIN, EDGE_MM, wide, points, bold=True)
    pdf.text(texts.scale, right, EDGE_MM + 4.4, SCALE_POINTS, bold=True, anchor="end")
    middle = fitted.sheet.width / 2
    pdf.text(texts.up, middle, fitted.head - 1.4, TEXT_POINTS, bold=True, anchor="middle")


def _corners(pdf, texts, fitted):
    """The coordinates of the map's four corners, above and below it."""
    for number, (x, y) in enumerate(fitted.corners):
        words = texts.corner(*fitted.on_ground(x, y))
        baseline = y - 1.4 if number < 2 else y + (7.0 if texts.north == "grid" else 3.4)
        pdf.text(words, x, baseline, FIGURE_POINTS, anchor="end" if number % 2 else "start")


def _figures(pdf, fitted):
    """The grid's figures outside the frame, so that a grid reference can be read: eastings below
    their lines, northings to the left of their strokes.
    """
    left, _, right, bottom = fitted.box
    for x, east_m in vertical_lines(fitted):
        pdf.text(_figure(east_m), x, bottom + 3.2, FIGURE_POINTS, anchor="middle")
    for y, north_m in level_strokes(fitted):
        for x, inwards in ((left, 3.0), (right, -3.0)):
            pdf.line(x, y, x + inwards, y, width=0.3)
        pdf.text(_figure(north_m), left - 0.9, y + 0.85, FIGURE_POINTS, anchor="end")


def _figure(metres):
    """The figures of a grid coordinate within its square of 100 km, in tens of metres: `2922`."""
    return f"{round(metres) % 100_000 // 10:04d}"


def _left_cell(pdf, texts, scale, top):
    _scale_bar(pdf, scale, MARGIN, top + 4.0)
    y = top + 10.5
    pdf.line(MARGIN, y, MARGIN + CHECK_MM, y, width=0.35)
    for x in (MARGIN, MARGIN + CHECK_MM):
        pdf.line(x, y - 1.5, x, y + 1.5, width=0.35)
    y = pdf.paragraph(texts.check, MARGIN, y + 2.0, CHECK_MM, TEXT_POINTS) + 1.5
    pdf.paragraph(texts.rule, MARGIN, y, CHECK_MM, _rule_points(texts), bold=True)


def _scale_bar(pdf, scale, x, y):
    metres = max(length for length in (5, *ROUND_M) if length * 1000.0 / scale <= 80)
    long = metres * 1000.0 / scale
    for part in range(4):
        pdf.box(x + part * long / 4, y, long / 4, 1.6, line=0.2, fill=0.0 if part % 2 == 0 else 1.0)
    for share, anchor in ((0, "start"), (0.5, "middle"), (1, "start")):
        words = f"{metres * share:g}" + (" m" if share == 1 else "")
        pdf.text(words, x + share * long, y - 1.0, TEXT_POINTS, anchor=anchor)


def draw_norths(pdf, texts, left, top):
    """The declination diagram in its cell, the north of the sheet's own lines upright."""
    made = diagrams.diagram(texts.norths, texts.north, NEEDLE_MM, LETTER_MM)
    written = {one: diagrams.label_lines(one, texts.norths) for one in made.needles}
    apart = diagrams.between(texts.norths, texts.north)
    foot = paper.width(apart, TEXT_POINTS, bold=True) / 2
    reach = [(-foot, foot), *(_reach(one, lines) for one, lines in written.items())]
    low, high = min(west for west, _ in reach), max(east for _, east in reach)
    x = left + (DIAGRAM_WIDE_MM - (high - low)) / 2 - low
    y = top + NEEDLE_MM + 5.5
    for one in made.needles:
        tip = x + one.tip[0], y + one.tip[1]
        pdf.line(x, y, *tip, width=0.35, dash=(1.5, 1.0) if one.north == "grid" else ())
        HEADS[one.north](pdf, *tip, math.atan2(one.tip[0], -one.tip[1]))
        for row, line in enumerate(written[one]):
            at = x + one.at[0], y + one.at[1] + row * 1.5 * LETTER_MM
            pdf.text(line, *at, TEXT_POINTS, anchor=one.anchor)
    pdf.text(apart, x, y + 3.4, TEXT_POINTS, bold=True, anchor="middle")
    if not made.is_to_scale:
        middle = left + DIAGRAM_WIDE_MM / 2
        pdf.text(texts.not_to_scale, middle, y + 7.0, FIGURE_POINTS, anchor="middle")


def _reach(needle, lines):
    """How far left and right of the foot a needle and its label reach, millimetres."""
    wide = max(paper.width(line, TEXT_POINTS) for line in lines)
    start = needle.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[needle.anchor]
    return min(start, needle.tip[0], 0.0), max(start + wide, needle.tip[0], 0.0)


def _star(pdf, x, y, angle):
    """The head of true north."""
    corners = [
        (
            x + (1.2 if point % 2 == 0 else 0.5) * math.sin(angle + point * math.pi / 5),
            y - (1.2 if point % 2 == 0 else 0.5) * math.cos(angle + point * math.pi / 5),
        )
        for point in range(10)
    ]
    pdf.polygon(corners, line=0, fill=0.0)


def _half_arrow(pdf, x, y, angle):
    """The head of magnetic north."""
    back = x - 3.0 * math.sin(angle - 0.35), y + 3.0 * math.cos(angle - 0.35)
    shaft = x - 2.2 * math.sin(angle), y + 2.2 * math.cos(angle)
    pdf.polygon([(x, y), back, shaft], line=0, fill=0.0)


HEADS = {"true": _star, "magnetic": _half_arrow, "grid": lambda pdf, x, y, angle: None}


def romer(pdf, scale, left, top):
    """A corner to lay on a place: along its upper edge metres east of the line to the left, down
    its right edge metres north of the line below.
    """
    every_m = lines_every_m(scale)
    side, tick_m = every_m * 1000.0 / scale, romer_tick_m(scale)
    right = left + side
    pdf.line(left, top + side, left, top, width=0.15, dash=(1.0, 1.0))
    pdf.line(left, top + side, right, top + side, width=0.15, dash=(1.0, 1.0))
    pdf.line(left, top, right, top, width=0.3)
    pdf.line(right, top, right, top + side, width=0.3)
    written_m = next(
        step
        for step in (5, 10, 20, 50, 100, 200, every_m)
        if every_m % step == 0 and step * 1000.0 / scale >= _figures_wide(every_m)
    )
    for metres in range(tick_m, every_m, tick_m):
        far = metres * 1000.0 / scale
        long = 2.4 if metres % written_m == 0 else 1.2
        pdf.line(right - far, top, right - far, top + long, width=0.15)
        pdf.line(right, top + far, right - long, top + far, width=0.15)
        if metres % written_m == 0:
            pdf.text(str(metres), right - far, top + 4.8, 6.0, anchor="middle")
            if far > 6.5:  # nearer, the two rows meet in the corner
                pdf.text(str(metres), right - 2.8, top + far + 0.8, 6.0, anchor="end")
    words = f"1:{scale}"
    pdf.text(words, left + 1.2, top + side - 1.4, 6.0, bold=True)


def _figures_wide(metres):
    return paper.width(str(metres), 6.0) + 0.6


def romer_tick_m(scale):
    """The step of the romer's ticks, metres: the least of 1 mm on the sheet."""
    return next(metres for metres in ROMER_TICKS_M if metres * 1000.0 / scale >= 1.0)


def _legend_mm(entries, wide):
    return 4.6 + sum(_entry_mm(words, wide) for _, words in entries)


def _entry_mm(words, wide):
    return max(ENTRY_MM, paper.tall(words, wide - SAMPLE_MM - 3.0, TEXT_POINTS) + 1.0)


def legend(pdf, texts, entries, left, top, wide, most_mm):
    """The signs of a map with their words. Returns those for which there was no room."""
    pdf.text(texts.legend, left, top + 3.0, TEXT_POINTS, bold=True)
    y, left_over = top + 4.6, list(entries)
    while left_over and y + (high := _entry_mm(left_over[0][1], wide)) <= top + most_mm + 0.01:
        sample, words = left_over.pop(0)
        sample(pdf, left, y + ENTRY_MM / 2)
        pdf.paragraph(words, left + SAMPLE_MM + 3.0, y + 0.9, wide - SAMPLE_MM - 3.0, TEXT_POINTS)
        y += high
    return left_over
