"""The report of a season on one page, for the person who pays."""

from dataclasses import dataclass

from . import paper
from .paper import Paper

MARGIN = 20.0
TITLE_POINTS, WHEN_POINTS, LEAD_POINTS, HEADING_POINTS = 20.0, 11.0, 12.0, 11.0
SIZES = (10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0)  # of the lines; the largest with which a page does
FOOT_POINTS, EDGE_MM, GAP_MM, AFTER_MM = 7.5, 14.0, 4.0, 0.8
CHART_MM, AXIS_MM, DOT_MM, TICK_POINTS = 34.0, 12.0, 1.1, 7.5


@dataclass(frozen=True)
class SeasonReport:
    """A title, which days and whose, the figures in a line, the parts (heading, lines), the chart's
    title and its (share, low, high) for each class, and the foot.
    """

    title: str
    when: str
    lead: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    chart: str
    shares: tuple[tuple[float, float, float], ...]
    foot: str


def season_sheet(report, sheet):
    """The report as a PDF of one page."""
    pdf = Paper(sheet, report.title)
    pdf.begin(sheet)
    wide = sheet.width - 2 * MARGIN
    y = pdf.paragraph(report.title, MARGIN, MARGIN - 5, wide, TITLE_POINTS, bold=True)
    y = pdf.paragraph(report.when, MARGIN, y + 0.5, wide, WHEN_POINTS)
    pdf.line(MARGIN, y + 2, MARGIN + wide, y + 2, width=0.5)
    y = pdf.paragraph(report.lead, MARGIN, y + 4, wide, LEAD_POINTS, bold=True)
    if report.shares:
        y = _chart(pdf, report, y + GAP_MM, wide)
    foot_tall = paper.tall(report.foot, wide, FOOT_POINTS)
    foot_y = sheet.height - EDGE_MM - foot_tall
    room = foot_y - GAP_MM - y
    points = next((size for size in SIZES if _tall(report, wide, size) <= room), SIZES[-1])
    for heading, lines in report.parts:
        y = pdf.paragraph(heading, MARGIN, y + GAP_MM, wide, HEADING_POINTS, bold=True)
        for line in lines:
            y = pdf.paragraph(line, MARGIN, y + AFTER_MM, wide, points)
    pdf.paragraph(report.foot, MARGIN, foot_y, wide, FOOT_POINTS, grey=0.2)
    return pdf.finished()


def _chart(pdf, report, y, wide):
    """A dot for each class with its interval; returns the lower edge."""
    y = pdf.paragraph(report.chart, MARGIN, y, wide, HEADING_POINTS, bold=True) + 3
    for percent in (0, 50, 100):
        at = y + CHART_MM * (1 - percent / 100)
        pdf.line(MARGIN + AXIS_MM, at, MARGIN + wide, at, width=0.1, grey=0.6)
        pdf.text(f"{percent} %", MARGIN + AXIS_MM - 2, at + 1, TICK_POINTS, anchor="end")
    step = (wide - AXIS_MM) / len(report.shares)
    for place, (share, low, high) in enumerate(report.shares):
        x = MARGIN + AXIS_MM + step * (place + 0.5)
        pdf.line(x, y + CHART_MM * (1 - high), x, y + CHART_MM * (1 - low), width=0.4)
        pdf.circle(x, y + CHART_MM * (1 - share), DOT_MM, fill=0.0)
        if len(report.shares) <= 40:
            pdf.text(str(place + 1), x, y + CHART_MM + 4.5, TICK_POINTS, anchor="middle")
    return y + CHART_MM + 5


def _tall(report, wide, points):
    """The height of all parts in millimetres."""
    return sum(
        GAP_MM
        + paper.tall(heading, wide, HEADING_POINTS, bold=True)
        + sum(AFTER_MM + paper.tall(line, wide, points) for line in lines)
        for heading, lines in report.parts
    )
