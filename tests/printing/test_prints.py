"""PDFs measured in millimetres by pdfplumber, QR codes read by zxing: other people's eyes on what
is printed.
"""

import io
import itertools
import math

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import difference
from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning.hazards import Hazard
from exercises.presenting import map_words
from exercises.printing import cards, map_frame, map_sheet, pack, paper, sheets
from tests import optional
from tests.printing import grounds

MM = 72 / 25.4
MIDDLE = Position(-45.13, 170.10, 400)
CARD = cards.Card(
    "A",
    "Terrace steps",
    "Stand here: brass pin in the lowest step, east end",
    (
        "Task 1: Read the bearing to the water tank, in degrees magnetic.",
        "Task 2: Face along 186° magnetic. Which target lies there?",
    ),
    "HTTP://192.168.4.17:8000/S/ACD34F/",
    "ACD34F",
    "Scan it with your phone, or type this on the first page:",
    "Phone, keys and knife away.",
    "Stay between the road and the tarn.\nThunder: to the bakehouse.",
    "A teaching aid.",
)


def opened(content):
    return optional.package("pdfplumber").open(io.BytesIO(content))


def mm(points):
    return float(points) / MM


def place(reach=350.0):
    """A ground on a national grid."""
    return grounds.Place(MIDDLE, reach_m=reach, name="Ground", epsg=2193)


def the_map(north="grid", where=None, sheet="a4", hazards=()):
    return grounds.map_of(where or place(), paper.size(sheet), north, hazards=list(hazards))


def fitted(north="grid", where=None, sheet="a4"):
    """The frame of the same."""
    ground = grounds.ground_of(where or place(), hazards=[])
    words = map_words.words_of_sheet(ground, grounds.printed_of(where or place(), ground), north)
    return map_sheet.frame(ground, words, paper.size(sheet))


def dots(page):
    """The middles of the points as they are printed, in millimetres from the upper left: the filled
    dots of half a millimetre.
    """
    found = [
        curve
        for curve in page.curves
        if curve["fill"] and mm(curve["x1"] - curve["x0"]) == pytest.approx(0.5, abs=0.05)
    ]
    return sorted(
        (mm((dot["x0"] + dot["x1"]) / 2), mm((dot["top"] + dot["bottom"]) / 2)) for dot in found
    )


def nearest(places, at):
    """Of some places the one nearest to another."""
    return min(places, key=lambda place: math.dist(place, at))


@pytest.mark.parametrize(
    ("name", "width", "height", "across", "down"),
    [("a5", 148.5, 210.0, 2, 1), ("a6", 105.0, 148.5, 2, 2), ("half", 139.7, 215.9, 2, 1)],
)
def test_cards_have_their_size_and_cut_marks_at_the_sheets_edges(name, width, height, across, down):
    # ISO 216: A5 148 x 210, A6 105 x 148; half of a US Letter 139.7 x 215.9.
    layout = cards.LAYOUTS[name]
    page = opened(cards.station_cards([CARD] * 4, layout, "Cards")).pages[0]

    assert (layout.card.width, layout.card.height) == (
        pytest.approx(width, abs=0.6),
        pytest.approx(height, abs=0.6),
    )
    assert (mm(page.width), mm(page.height)) == (
        pytest.approx(width * across, abs=0.1),
        pytest.approx(height * down, abs=0.1),
    )
    vertical = sorted(
        {
            round(mm(line["x0"]), 1)
            for line in page.lines
            if abs(line["x0"] - line["x1"]) < 0.1
            and mm(abs(line["bottom"] - line["top"])) == pytest.approx(cards.CUT_MM, abs=0.01)
        }
    )
    assert vertical == [pytest.approx(width * column, abs=0.06) for column in range(1, across)]


@pytest.mark.parametrize("layout", cards.LAYOUTS.values(), ids=cards.LAYOUTS)
def test_the_code_can_be_read_at_three_metres(layout):
    page = opened(cards.station_cards([CARD], layout, "Cards")).pages[0]
    code = max((char for char in page.chars if char["text"] == "A"), key=lambda char: char["size"])

    assert float(code["size"]) / MM * paper.CAP_HEIGHT >= cards.LEAST_CAP_MM == 15.0


@pytest.mark.parametrize("layout", cards.LAYOUTS.values(), ids=cards.LAYOUTS)
def test_a_code_of_four_characters_fits_beside_its_name(layout):
    long = cards.Card(
        "W8M4", *[getattr(CARD, name) for name in list(CARD.__dataclass_fields__)[1:]]
    )
    page = opened(cards.station_cards([long], layout, "Cards")).pages[0]

    assert max(mm(char["x1"]) for char in page.chars) <= layout.card.width - cards.MARGIN + 0.5


def test_the_qr_code_of_a_card_opens_its_station():
    page = opened(cards.station_cards([CARD], cards.LAYOUTS["a6"], "Cards")).pages[0]

    found = optional.package("zxingcpp").read_barcode(
        page.to_image(resolution=200).original.convert("L")
    )

    assert found.text == CARD.link


def test_every_word_of_a_card_is_printed():
    text = " ".join(
        opened(cards.station_cards([CARD], cards.LAYOUTS["a6"], "Cards"))
        .pages[0]
        .extract_text()
        .split()
    )

    for words_ in (*CARD.tasks, CARD.stand, CARD.away, CARD.short_code, *CARD.cautions.split("\n")):
        assert words_ in text


def test_cautions_that_are_too_long_go_on_with_a_second_card_and_lose_nothing():
    long = cards.Card(
        *[
            getattr(CARD, name)
            if name != "cautions"
            else " ".join(f"word{number}" for number in range(400))
            for name in CARD.__dataclass_fields__
        ]
    )
    pages = opened(cards.station_cards([long], cards.LAYOUTS["a6"], "Cards")).pages

    text = " ".join(page.extract_text() for page in pages)
    assert all(f"word{number}" in text.replace("\n", " ").split() for number in range(400))
    assert (
        sum(char["text"] == "A" and char["size"] > 40 for page in pages for char in page.chars) >= 2
    )


@pytest.mark.parametrize(
    "make",
    [lambda: cards.station_cards([CARD], cards.LAYOUTS["a5"], "Cards"), the_map],
    ids=["cards", "map"],
)
def test_fonts_are_embedded_and_all_is_black_and_grey(make):
    content = make()
    page = opened(content).pages[0]

    assert b"/FontFile2" in content
    assert b"Helvetica" not in content  # listed by reportlab unless it is told otherwise
    assert {char["fontname"].partition("+")[2] for char in page.chars} <= {
        "DejaVuSans",
        "DejaVuSans-Bold",
    }
    assert {
        len(item[colour])
        for item in (*page.chars, *page.lines, *page.rects, *page.curves)
        for colour in ("stroking_color", "non_stroking_color")
        if isinstance(item[colour], tuple)
    } <= {1}
    assert b"/PrintScaling /None" in content


def test_the_same_content_gives_the_same_bytes():
    assert the_map() == the_map()


@pytest.mark.parametrize("sheet", ["a4", "letter"])
def test_the_line_to_check_a_printer_with_measures_100_millimetres(sheet):
    page = opened(the_map(sheet=sheet)).pages[0]

    assert any(mm(line["x1"] - line["x0"]) == pytest.approx(100.0, abs=0.01) for line in page.lines)


@pytest.mark.parametrize("north", ["grid", "true"])
@pytest.mark.parametrize("reach", [60.0, 350.0, 700.0])
def test_bearings_and_distances_measured_on_the_map_are_those_of_the_ground(north, reach):
    where = place(reach)
    page, frame = opened(the_map(north, where)).pages[0], fitted(north, where)
    drawn = grounds.ground_of(where, hazards=[])
    ground, scale = drawn.site, frame.scale
    spots = {
        code: map_sheet.flat(drawn, point.position, north) for code, point in ground.points.items()
    }
    assert f"1:{scale}" in page.extract_text().split()
    printed = {code: nearest(dots(page), frame.on_paper(*spot)) for code, spot in spots.items()}

    for one, other in itertools.permutations(ground.points, 2):
        line = ground.sight_line(one, other)
        expected = line.bearing_deg - (
            geodesy.convergence(ground.point(one).position, 2193) if north == "grid" else 0.0
        )
        (x1, y1), (x2, y2) = printed[one], printed[other]
        length = math.hypot(x2 - x1, y2 - y1)
        if length > 20:  # a plate's edge is longer
            assert difference(
                math.degrees(math.atan2(x2 - x1, y1 - y2)), expected
            ) == pytest.approx(0, abs=0.1)
        assert length == pytest.approx(line.distance_m * 1000 / scale, abs=0.2)


def test_north_lines_stand_at_round_eastings():
    page = opened(the_map()).pages[0]
    frame = fitted()
    every = frame.lines_every_m
    left, _, right, _ = frame.box
    xs = sorted(
        {
            round(mm(line["x0"]), 3)
            for line in page.lines
            if abs(line["x0"] - line["x1"]) < 1e-6 and mm(line["bottom"] - line["top"]) > 80
        }
    )

    eastings = [frame.left_m + (x - left) * frame.scale / 1000 for x in xs]
    assert len(xs) >= 4
    assert all(
        easting / every == pytest.approx(round(easting / every), abs=1e-3) for easting in eastings
    )
    assert min(xs) - left > 1.0  # none doubles the frame
    assert right - max(xs) > 1.0
    assert (
        min(other - one for one, other in itertools.pairwise(xs)) >= map_frame.LINES_APART_MM - 0.01
    )


def test_a_hazard_beyond_the_map_is_cut_at_its_frame():
    far = Hazard("road", "road", (destination(MIDDLE, 0, 200), destination(MIDDLE, 0, 9000)))
    page = opened(the_map(hazards=[far])).pages[0]

    assert all(
        mm(item["top"]) >= 0 and mm(item["bottom"]) <= mm(page.height)
        for item in (*page.lines, *page.curves)
    )


def test_ground_that_fits_no_sheet_is_refused():
    with pytest.raises(map_sheet.TooLarge):
        the_map(where=place(4000.0))


@pytest.mark.parametrize(
    ("scale", "metres"), [(500, 10), (1000, 20), (2500, 50), (5000, 100), (10_000, 200)]
)
def test_lines_are_a_round_distance_apart(scale, metres):
    assert map_frame.lines_every_m(scale) == metres


LINES = [
    sheets.Line(
        str(number),
        "A",
        "Read the bearing to the wind vane on the woolshed, in degrees magnetic.",
        (("magnetic", 3 if number % 2 else 1),),
    )
    for number in range(1, 30)
]
HEADS = sheets.Heads(
    "Saturday",
    "3 October",
    ("Name", "Compass", "With"),
    ("Task", "At", "Answer"),
    "Phone away.",
    "Stay inside.",
    "A teaching aid.",
    lambda number: f"Page {number}",
)


def test_a_sheet_has_three_boxes_that_a_glove_can_write_in():
    page = opened(sheets.participant_sheet(LINES[:1], HEADS, paper.size("a4"))).pages[0]
    boxes = [
        rect for rect in page.rects if mm(rect["width"]) == pytest.approx(sheets.DIGIT_MM, abs=0.01)
    ]

    assert len(boxes) == 3
    assert all(mm(box["height"]) >= 9 for box in boxes)


def test_a_long_course_goes_on_over_pages_and_loses_no_task():
    pages = opened(sheets.participant_sheet(LINES, HEADS, paper.size("letter"))).pages

    assert len(pages) >= 2
    assert sum(page.extract_text().count("woolshed") for page in pages) == 29


def test_each_name_has_a_sheet():
    pages = opened(
        sheets.participant_sheet(LINES[:3], HEADS, paper.size("a4"), ["Aroha", "Ñandú"])
    ).pages

    assert [
        name in page.extract_text() for page, name in zip(pages, ["Aroha", "Ñandú"], strict=True)
    ] == [True, True]


def test_the_key_says_so_across_every_page():
    lines = [
        sheets.KeyLine(
            str(number),
            "A → T1",
            "302° magnetic",
            "328° true\n326° grid",
            "full ± 5°",
            "known to ± 1.4°",
            tuple(f"12{place}° reversed" for place in range(5)),
        )
        for number in range(1, 40)
    ]
    pages = opened(
        sheets.key_sheet(
            lines,
            sheets.KeyHeads(
                "Key",
                "today",
                ("Task", "From", "Answer", "Band", "Mistakes"),
                "For the instructor alone.",
                "KEY",
            ),
            paper.size("a4"),
        )
    ).pages

    assert len(pages) >= 2
    for page in pages:
        large = [char for char in page.chars if char["size"] > 100]
        assert "".join(sorted(char["text"] for char in large)) == "EKY"
        assert all(char["non_stroking_color"] == (0.9,) for char in large)


def test_a_pack_is_in_order_and_holds_no_key():
    ground = grounds.ground_of(place(), hazards=[])
    content = pack.pack(
        "Saturday",
        paper.size("a4"),
        cards.LAYOUTS["a6"],
        (ground, [map_words.words_of_sheet(ground, grounds.printed_of(place(), ground), "grid")]),
        [CARD],
        (LINES[:3], HEADS),
        ["Mia"],
    )
    texts = [page.extract_text() for page in opened(content).pages]

    assert [
        "must measure 100 mm" in texts[0],
        "Scan it" in texts[1],
        "Mia" in texts[2],
        len(texts),
    ] == [True, True, True, 3]


def test_words_longer_than_a_line_are_broken_and_none_is_lost():
    assert "".join(paper.lines("W" * 300, 50.0, 10.0)) == "W" * 300
