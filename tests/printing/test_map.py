"""What stands on a practice map: its signs, its spots near and far, and which sheets there are."""

import itertools
import math
import types

import pytest
from shapely import LineString

from exercises.domain.earth.geodesy import destination
from exercises.domain.planning.hazards import KINDS, Hazard
from exercises.presenting import map_words
from exercises.printing import map_frame, map_marks, map_sheet, paper
from exercises.printing.hazard_signs import SIGNS
from tests import optional
from tests.printing import boxes, grounds

PLACE = grounds.PLACES["national grid"]
A4 = paper.size("a4")


def words_of(ground, north="grid"):
    return map_words.words_of_sheet(ground, grounds.printed_of(PLACE, ground), north)


def pages_of(ground, north="grid"):
    return boxes.pages(map_sheet.map_sheet(ground, [words_of(ground, north)], A4, "Ground"))


def said(page):
    return " ".join(text.text for text in page.texts)


def picture(draw):
    """What is drawn in a corner of a page, as grey pixels."""
    pdf = paper.Paper(A4, "Sign")
    pdf.begin()
    draw(pdf)
    pdfium = optional.package("pypdfium2")
    with pdfium.PdfDocument(pdf.finished()) as document:
        page = document[0].render(scale=4).to_pil().convert("L")
    return page.crop((0, 0, 400, 400)).tobytes()


def test_every_kind_of_hazard_has_a_sign_and_no_two_look_alike():
    pictures = {
        (kind, how): picture(lambda pdf, draw=draw: draw(pdf, 20.0, 20.0))
        for kind, sign in SIGNS.items()
        for how, draw in (("sample", sign.sample), ("spot", sign.spot))
    }

    assert sorted(SIGNS) == sorted(KINDS)
    assert len(set(pictures.values())) == len(pictures)
    # enough pixels differ to be seen, not one corner
    for (one, one_how), (other, other_how) in itertools.combinations(pictures, 2):
        if one_how == other_how:
            changed = sum(
                abs(a - b) > 60
                for a, b in zip(pictures[one, one_how], pictures[other, other_how], strict=True)
            )
            assert changed > 60, (one, other, one_how)


def test_the_legend_names_what_is_on_the_sheet_and_nothing_else():
    far = [
        Hazard("water", "Mill pond", (destination(PLACE.middle, 0, 50),)),
        Hazard("road", "Far road", (destination(PLACE.middle, 0, 9000),)),
    ]
    (page,) = pages_of(grounds.ground_of(PLACE, hazards=far))

    assert "Water: a Mill pond" in said(page)
    assert "Far road" not in said(page)
    assert "place to choose from" not in said(page)
    assert [text.text for text in page.texts if text.text == "a"] == ["a"]
    ground = grounds.ground_of(PLACE, hazards=far)
    fitted = map_sheet.frame(ground, words_of(ground), A4)
    x, y = fitted.on_paper(*map_sheet.flat(ground, far[0].corners[0], "grid"))
    assert page.darkest(boxes.Box(x - 2.5, y - 2.5, x + 2.5, y + 2.5)) < 100


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", ["spot", "line", "area"])
def test_a_mark_lies_above_what_it_stands_on_with_white_about_it(kind, shape):
    """2026-11-27: a mark was covered by a hazard."""
    position = _position("T4")
    corners = {
        "spot": (position,),
        "line": (destination(position, 270, 150), destination(position, 90, 150)),
        "area": tuple(destination(position, bearing, 90) for bearing in (0, 120, 240)),
    }[shape]
    ground = grounds.ground_of(PLACE, hazards=[Hazard(kind, "x", corners, shape == "area")])
    (page,) = pages_of(ground)
    fitted = map_sheet.frame(ground, words_of(ground), A4)
    x, y = fitted.on_paper(*map_sheet.flat(ground, position, "grid"))

    dot = boxes.Box(x - 0.1, y - 0.1, x + 0.1, y + 0.1)
    assert page.darkest(dot, with_text=True) < 100
    for left in (x - 0.6, x + 0.45, x - map_marks.MARK_MM - 0.4, x + map_marks.MARK_MM + 0.32):
        assert page.darkest(boxes.Box(left, y - 0.05, left + 0.1, y + 0.05)) > 200


@pytest.mark.parametrize("kind", KINDS)
def test_the_lines_of_the_map_go_on_through_an_area(kind):
    around = tuple(destination(PLACE.middle, bearing, 250) for bearing in range(0, 360, 60))
    ground = grounds.ground_of(PLACE, hazards=[Hazard(kind, "x", around, True)])
    (page,) = pages_of(ground)
    fitted = map_sheet.frame(ground, words_of(ground), A4)
    middle = fitted.on_paper(*map_sheet.flat(ground, PLACE.middle, "grid"))
    x, _ = min(map_marks.vertical_lines(fitted), key=lambda line: abs(line[0] - middle[0]))
    clear = [
        y
        for y in (middle[1] + step for step in range(-30, 30))
        if page.darkest(boxes.Box(x - 1.5, y, x - 0.8, y + 0.2)) > 180
    ]

    assert clear
    assert all(page.darkest(boxes.Box(x - 0.2, y, x + 0.2, y + 0.2)) < 170 for y in clear)


def test_ground_without_points_is_printed_about_its_middle():
    ground = map_sheet.Ground(grounds.Site({}, {}, 2193, PLACE.middle), PLACE.middle, [])
    (page,) = pages_of(ground)

    assert "1:500" in {text.text for text in page.texts}


def test_a_boundary_round_the_whole_map_is_not_on_it():
    around = tuple(destination(PLACE.middle, bearing, 3000) for bearing in (0, 90, 180, 270))
    (page,) = pages_of(
        grounds.ground_of(PLACE, hazards=[Hazard("boundary", "Park edge", around, True)])
    )

    assert "Park edge" not in said(page)


@pytest.mark.parametrize("off_mm", [0.0, 0.5, 1.2])
def test_no_line_of_the_grid_doubles_the_frame(off_mm):
    fitted = map_frame.Frame(1000, A4, 400_000.0 - off_mm, 5_000_000.0 + off_mm, 20.0, 80.0)
    left, top, _, _ = fitted.box
    xs = [x for x, _ in map_marks.vertical_lines(fitted)]
    ys = [y for y, _ in map_marks.level_strokes(fitted)]

    assert min(xs) - left > 15
    assert min(ys) - top > 15


def test_a_hazard_keeps_its_course_where_it_leaves_the_map():
    """2026-11-27: corners beyond the frame were pulled to it one by one, and a road that left the
    map at a slant was drawn where none is.
    """
    road = Hazard(
        "road", "road", (destination(PLACE.middle, 200, 100), destination(PLACE.middle, 40, 5000))
    )
    ground = grounds.ground_of(PLACE, hazards=[road])
    fitted = map_sheet.frame(ground, words_of(ground), A4)
    (one,) = map_marks.hazards_on(ground, fitted, "grid")
    whole = LineString(
        [fitted.on_paper(*map_sheet.flat(ground, at, "grid")) for at in road.corners]
    )

    (piece,) = one.pieces
    assert all(whole.distance(LineString([place, place])) < 1e-6 for place in piece)
    left, top, right, _ = fitted.box
    (page,) = pages_of(ground)
    assert page.darkest(boxes.Box(left, top - 0.55, right, top - 0.35)) == 255


FAR = {
    "A": destination(PLACE.middle, 90, 100),
    "B": destination(PLACE.middle, 200, 9000),
    "C": destination(PLACE.middle, 270, 90),
}


def test_a_spot_far_away_leaves_the_map_printable_and_is_an_arrow():
    """2026-11-27: a wrong spot of a fix 9 km off made the map too large for any paper."""
    ground = grounds.ground_of(PLACE, hazards=[], lettered=FAR)
    alone = grounds.ground_of(PLACE, hazards=[])
    (page,) = pages_of(ground)
    fitted = map_sheet.frame(ground, words_of(ground), A4)

    assert fitted.scale == map_sheet.frame(alone, words_of(alone), A4).scale
    assert {"A", "B", "C"} <= {text.text for text in page.texts}
    assert "place to choose from, beyond this sheet" in said(page)
    letter = next(text for text in page.texts if text.text == "B")
    assert letter.lies_in(*fitted.box)
    # to the south, where it lies
    assert letter.bottom > fitted.box[3] - 15


def test_a_mark_that_is_sought_is_on_the_sheet_though_it_is_not_drawn():
    far_out = max(
        grounds.site_of(PLACE).points,
        key=lambda code: math.dist(
            (0, 0), map_sheet.flat(grounds.ground_of(PLACE), _position(code), "true")
        ),
    )
    ground = grounds.ground_of(
        PLACE,
        hazards=[],
        sought=frozenset({far_out}),
        lettered=FAR | {"D": _position(far_out)},
    )
    (page,) = pages_of(ground)
    fitted = map_sheet.frame(ground, words_of(ground), A4)
    x, y = fitted.on_paper(*map_sheet.flat(ground, _position(far_out), "grid"))

    assert boxes.Box(x, y, x, y).lies_in(*fitted.box)
    assert far_out not in {text.text for text in page.texts}


def _position(code):
    return grounds.site_of(PLACE).points[code].position


def task(label, kind, north):
    """As much of an answer as says which sheet it wants."""
    place = types.SimpleNamespace(lines=())
    return types.SimpleNamespace(
        task=label, kind=kind, north=north, station="A", target="B", form=place
    )


@pytest.mark.parametrize(
    ("asked", "chosen", "expected"),
    [
        pytest.param([], "", ["grid"], id="nothing asked"),
        pytest.param([("sight", "true")], "", ["grid"], id="nothing asked of the map"),
        pytest.param([("map", "true")], "", ["true"], id="meridians asked"),
        pytest.param([("map", "grid")], "true", ["grid", "true"], id="grid asked, other chosen"),
        pytest.param([("map", "true"), ("map", "grid")], "", ["grid", "true"], id="both asked"),
        pytest.param([("map", "grid")], "grid", ["grid"], id="asked and chosen"),
    ],
)
def test_a_course_has_the_sheets_whose_lines_its_tasks_ask(asked, chosen, expected):
    answers = [task(str(number), *ask) for number, ask in enumerate(asked)]

    assert map_words.sheets_wanted(answers, chosen) == expected


def test_a_sheet_names_its_tasks_and_one_without_says_that_they_have_their_own():
    ground = grounds.ground_of(PLACE, hazards=[])
    printed = grounds.printed_of(
        PLACE, ground, (task("4", "map", "grid"), task("7", "map", "grid"))
    )

    grid, true = (
        " ".join(map_words.words_of_sheet(ground, printed, north)(2500).texts)
        for north in ("grid", "true")
    )

    assert "For the tasks that ask grid north: 4, 7." in grid
    assert "No task is measured on this sheet: they ask grid north" in true
    assert "no grid reference can be read from it" in true
