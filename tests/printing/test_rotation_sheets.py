"""A rotation on all paper in all languages: nothing lies on something else, nothing comes near the
edge, nobody is lost. Measured on the PDF by PDFium.
"""

import io
import re

import pytest
from django.conf import settings
from django.utils import translation

from exercises.presenting import rotation_prints
from exercises.printing import paper, rotation_sheets
from exercises.usecases import run_rotation
from tests import optional, rotated
from tests.printing import boxes

EDGE_MM = 5.0  # printers leave 4 to 6 mm empty; common practice, no source
LARGE_POINTS = 14.0  # times are read at arm's length
SHEETS = pytest.mark.parametrize(
    "sheet", [paper.size(name) for name in paper.SIZES], ids=paper.SIZES
)
LANGUAGES = pytest.mark.parametrize("language", [code for code, _ in settings.LANGUAGES])
SIZES = pytest.mark.parametrize(
    ("groups", "stations"), [(1, 1), (2, 2), (6, 6), (14, 12), (30, 20)]
)


def kept(course_class, groups, stations):
    """A rotation with helpers of long and short names."""
    codes = [f"W{place:03d}" if place % 2 else chr(65 + place) for place in range(stations)]
    row = rotated.kept(course_class, rotation=rotated.planned(groups, codes))
    names = {
        code: "Maximiliana Wolkenstein-Featherstone" * (at % 2) for at, code in enumerate(codes)
    }
    run_rotation.name_helpers(rotation=row, names=names)
    row.refresh_from_db()
    site = course_class.course.site
    site.cautions = "Stay between the road and the tarn. " * 6
    points = {code: {"name": f"the long terrace behind the huts at {code}"} for code in codes}
    return row, points, site


def sound(content):
    pages = boxes.pages(content)
    for page in pages:
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        assert page.near_the_edge(EDGE_MM) == []
    return [text for page in pages for text in page.texts]


@SHEETS
@LANGUAGES
@SIZES
def test_cards_keep_their_parts_apart_and_have_every_round(
    open_class, sheet, language, groups, stations
):
    row, points, site = kept(open_class, groups, stations)
    with translation.override(language):
        cards = rotation_prints.group_cards(row, points, site, "3 Oct")
        texts = sound(rotation_sheets.time_cards(cards, "Cards", sheet))

    spans = [text for text in texts if re.fullmatch(r"\d\d:\d\d–\d\d:\d\d", text.text)]
    assert len(spans) == groups * len(row.as_domain().rounds)
    assert {text.points >= LARGE_POINTS for text in spans} == {True}
    assert {text.points for text in texts if "the tarn" in text.text} == {10.0}


@SHEETS
@LANGUAGES
@SIZES
def test_sheets_of_stations_say_who_comes_when(open_class, sheet, language, groups, stations):
    row, points, site = kept(open_class, groups, stations)
    with translation.override(language):
        made = rotation_prints.station_sheets(row, points, site, "3 Oct")
        texts = sound(rotation_sheets.time_cards(made, "Sheets", sheet))

    codes = [text.text for text in texts]
    assert {f"g{one}": codes.count(f"g{one}") for one in range(1, groups + 1)} == {
        f"g{one}": stations for one in range(1, groups + 1)
    }


@SHEETS
@LANGUAGES
@SIZES
def test_the_table_for_the_wall_has_everybody_in_every_round(
    open_class, sheet, language, groups, stations
):
    row, _, _ = kept(open_class, groups, stations)
    with translation.override(language):
        texts = sound(rotation_sheets.wall_table(rotation_prints.wall(row, "3 Oct"), sheet))

    codes = {one.code for one in row.as_domain().problem.stations}
    assert sum(text.text in codes for text in texts) == groups * stations


@pytest.mark.parametrize("what", ["rotation-groups", "rotation-stations", "rotation-wall"])
def test_they_are_printed_at_the_desk_once_a_rotation_is_kept(desk, open_class, what):
    address = f"/classes/{open_class.pk}/print/{what}.pdf"
    before = desk.get(address)
    row = rotated.kept(open_class)
    run_rotation.name_helpers(rotation=row, names={"A": "Pim"})
    printed = optional.package("pdfplumber").open(io.BytesIO(desk.get(address).content))
    text = "\n".join(page.extract_text() for page in printed.pages)

    assert (before.status_code, "Keep a rotation first" in before.content.decode()) == (409, True)
    assert ("22:30" in text, "g1" in text, "g2" in text) == (True, True, True)
    assert ("Pim" in text) == (what != "rotation-wall")


def test_a_card_says_what_a_group_does_in_each_round(open_class):
    # two groups at one station: one waits
    row = rotated.kept(open_class, rotation=rotated.planned(2, ["A"]))
    cards = rotation_prints.group_cards(row, {"A": {"name": "terrace"}}, open_class.course.site, "")

    assert [[(line.time, line.big, line.beside) for line in card.rows] for card in cards] == [
        [
            ("22:30–22:34", "A", "terrace"),
            ("22:34–22:38", "–", "wait"),
            ("22:38", "", "all are through"),
        ],
        [
            ("22:30–22:34", "–", "wait"),
            ("22:34–22:38", "A", "terrace"),
            ("22:38", "", "all are through"),
        ],
    ]


def test_cautions_that_fill_a_sheet_are_pointed_to(open_class):
    row, points, site = kept(open_class, 2, 2)
    site.cautions = "Stay between the road and the tarn. " * 100

    cards = rotation_prints.group_cards(row, points, site, "3 Oct")

    assert {card.cautions for card in cards} == {
        "Read the cautions on the station cards before you go."
    }
