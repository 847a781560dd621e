"""All prints on all paper in all languages: nothing lies on something else, nothing comes near the
edge, also where a site is extreme. Measured on the PDF by PDFium, which is nobody's of ours.
"""

import pytest
from django.conf import settings
from django.utils import translation

from exercises.presenting import map_words
from exercises.printing import cards, map_sheet, paper, sheets
from tests.printing import boxes, grounds

EDGE_MM = 5.0  # printers leave 4 to 6 mm empty; common practice, no source
LANGUAGES = [code for code, _ in settings.LANGUAGES]


@pytest.fixture(params=LANGUAGES)
def language(request):
    with translation.override(request.param):
        yield request.param


@pytest.fixture(params=paper.SIZES)
def sheet(request):
    return paper.size(request.param)


@pytest.fixture(params=grounds.PLACES.values(), ids=grounds.PLACES)
def place(request):
    return request.param


@pytest.fixture(params=["grid", "true"])
def printed(request, place, sheet, language):
    """A map's first page, and its frame."""
    ground = grounds.ground_of(place)
    words = map_words.words_of_sheet(ground, grounds.printed_of(place, ground), request.param)
    content = map_sheet.map_sheet(ground, [words], sheet, place.name)
    return boxes.pages(content), map_sheet.frame(ground, words, sheet), ground, request.param


def test_a_map_keeps_its_parts_apart(printed):
    pages, fitted, ground, north = printed

    for page in pages:
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        assert page.near_the_edge(EDGE_MM) == []
    left, top, right, bottom = fitted.box
    frame = boxes.Box(left, top, right, bottom)
    assert [
        text.text for text in pages[0].texts if text.meets(frame) and not text.lies_in(*fitted.box)
    ] == []
    for side in (
        boxes.Box(left - 0.8, top, left - 0.4, bottom),
        boxes.Box(right + 0.4, top, right + 0.8, bottom),
        boxes.Box(left, top - 0.8, right, top - 0.4),
        boxes.Box(left, bottom + 0.4, right, bottom + 0.8),
    ):
        assert pages[0].darkest(side) == 255
    assert _hidden_marks(pages[0], fitted, ground, north) == []


@pytest.mark.parametrize("layout", cards.LAYOUTS.values(), ids=cards.LAYOUTS)
@pytest.mark.parametrize("code", ["A", "W8M4", "WWWW"])
@pytest.mark.parametrize("words", [1, 40], ids=["short cautions", "long cautions"])
def test_a_card_is_read_at_three_metres_and_keeps_its_parts_apart(language, layout, code, words):
    card = grounds.card_of(code, tasks=6, cautions="Stay between the road and the tarn. " * words)
    wide, high = layout.card.width, layout.card.height
    codes = 0

    for page in boxes.pages(cards.station_cards([card], layout, "Cards")):
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        for text in page.texts:
            column, row = int(text.left // wide), int(text.top // high)
            assert text.lies_in(
                column * wide + EDGE_MM,
                row * high + EDGE_MM,
                (column + 1) * wide - EDGE_MM,
                (row + 1) * high - EDGE_MM,
            )
            if text.text == code:
                codes += 1
                # capitals of this height, and three metres is two hundred times it; see cards.py
                assert text.bottom - text.top >= 15.0 - 0.001
            if "road and the tarn" in text.text:
                assert text.points >= 10.0
    assert codes >= 1


def test_the_cautions_stand_on_the_first_card_where_its_tasks_go_on(language):
    card = grounds.card_of("W8M4", tasks=9, cautions="Stay between the road and the tarn.")
    (page,) = boxes.pages(cards.station_cards([card], cards.LAYOUTS["a6"], "Cards"))
    wide, high = cards.LAYOUTS["a6"].card.width, cards.LAYOUTS["a6"].card.height
    on_first = [text.text for text in page.texts if text.right < wide and text.bottom < high]

    assert any("road and the tarn" in text for text in on_first)
    assert sum(text.text == "W8M4" for text in page.texts) == 2


@pytest.mark.parametrize("words", [1, 30, 400])
def test_a_sheet_to_fill_in_keeps_its_parts_apart(language, sheet, words):
    heads, lines = grounds.heads_of("Stay between the road and the tarn. " * words), grounds.LINES
    pages = boxes.pages(
        sheets.participant_sheet(lines, heads, sheet, ["Maximiliana Wolkenstein-Featherstone", ""])
    )

    for page in pages:
        assert page.overlaps() == []
        assert page.near_the_edge(EDGE_MM) == []
        assert {text.points for text in page.texts if "the tarn" in text.text} <= {10.0}
    said = " ".join(text.text for page in pages for text in page.texts)
    assert said.split().count("tarn.") == 2 * words
    assert said.count("W8M4") == 2 * len(lines)


def _hidden_marks(page, fitted, ground, north):
    """Points whose dot, or the white about it, is covered."""
    hidden = []
    for code, point in ground.site.points.items():
        x, y = fitted.on_paper(*map_sheet.flat(ground, point.position, north))
        dot = boxes.Box(x - 0.1, y - 0.1, x + 0.1, y + 0.1)
        beside = boxes.Box(x - 0.55, y - 0.05, x - 0.45, y + 0.05)
        if page.darkest(dot, with_text=True) > 100 or page.darkest(beside, with_text=True) < 200:
            hidden.append(code)
    return hidden
