"""People's sheets on all paper in all languages: nothing lies on something else, nothing is lost,
and a figure points where its numbers say. Measured on the PDF by PDFium.
"""

import math

import pytest
from django.conf import settings
from django.utils import translation

from exercises.models import CourseClass
from exercises.presenting import prints
from exercises.printing import figures, paper
from exercises.printing.paper import Paper
from exercises.printing.person_sheets import OneReading, PersonSheet, person_sheets
from exercises.usecases.debrief import debrief_of
from tests import demonstration, optional
from tests.printing import boxes

EDGE_MM = 5.0  # printers leave 4 to 6 mm empty; common practice, no source
SIDE_MM, DPI = 48.0, 300
SHEETS = pytest.mark.parametrize(
    "sheet", [paper.size(name) for name in paper.SIZES], ids=paper.SIZES
)


def words_of(pages):
    return [" ".join(text.text for text in page.texts) for page in pages]


@pytest.mark.django_db
@SHEETS
@pytest.mark.parametrize("language", [code for code, _ in settings.LANGUAGES])
@pytest.mark.parametrize("name", ["Spring introduction", "Spring, with map and paces"])
def test_a_class_has_its_sheets_with_their_parts_apart(sheet, language, name):
    demonstration.load()
    held = CourseClass.objects.get(name=name)
    people = list(held.people.all()[:6])
    with translation.override(language):
        made = prints.person_sheets(
            debrief_of(course_class=held, people=people), people, held, "3 Oct"
        )
        pages = boxes.pages(person_sheets(made, held.name, sheet))

    for page in pages:
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        assert page.near_the_edge(EDGE_MM) == []
    wanted = {reading.task for whole in made for reading in whole.readings}
    tasks = [text.text for page in pages for text in page.texts if text.text in wanted]
    assert sum(one.endswith(" 1") for one in words_of(pages)) == len(people)
    assert tasks == [reading.task for whole in made for reading in whole.readings]


def made_up(readings, practise=1, name="Mia"):
    """A sheet of some readings, each with words of its own."""
    dial = figures.Dial(72.0, 5.0, 10.0, 252.0, ("N", "E", "S", "W"))
    return PersonSheet(
        name,
        "Saturday · 3 October 2026",
        "Credit 3 of 9.",
        "To practise",
        ("Turn the housing until the needle lies in the arrow. " * 6,) * practise,
        tuple(
            OneReading(
                f"Task {number} at W8M4", mark, f"Given{number} is right.", "Why. " * 70, dial
            )
            for number, mark in zip(
                range(readings), ("full", "part", "none") * readings, strict=False
            )
        ),
        "Solid: the answer.",
        "A teaching aid.",
        lambda number: f"Page {number}",
    )


@SHEETS
@pytest.mark.parametrize("readings", [0, 1, 2, 3, 41])
def test_long_sheets_go_on_over_pages_and_lose_nothing(sheet, readings):
    name = "Maximiliana Wolkenstein-Featherstone of the long valley " * 2
    pages = boxes.pages(person_sheets([made_up(readings, 2, name)], "Sheets", sheet))
    said = words_of(pages)

    for page in pages:
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        assert page.near_the_edge(EDGE_MM) == []
    assert [sum(f"Given{number} " in one for one in said) for number in range(readings)] == [
        1
    ] * readings
    assert [one.rsplit("Page ", 1)[1] for one in said] == [
        str(number) for number in range(1, len(pages) + 1)
    ]
    assert all(one.startswith("Maximiliana") for one in said)


def greys(figure):
    """A function that gives the grey, 0 to 255, at a place of a figure: a bearing from its middle,
    and how far out as a share of half its side.
    """
    pdf = Paper(paper.Size(SIDE_MM, SIDE_MM), "Figure")
    pdf.begin()
    figure.draw(pdf, 0.0, 0.0, SIDE_MM)
    with optional.package("pypdfium2").PdfDocument(pdf.finished()) as document:
        picture = document[0].render(scale=DPI / 72).to_pil().convert("L")

    def at(bearing_deg, share):
        angle, middle = math.radians(bearing_deg), picture.width / 2
        far = share * middle
        return picture.getpixel(
            (round(middle + far * math.sin(angle)), round(middle - far * math.cos(angle)))
        )

    return at


@pytest.mark.parametrize(
    ("answer_deg", "reading_deg"),
    [
        pytest.param(45.0, 225.0, id="reversed"),
        pytest.param(357.0, 183.0, id="band across north"),
        pytest.param(120.0, 300.0, id="south-east"),
    ],
)
def test_a_dial_points_where_its_numbers_say_also_in_a_grey_copy(answer_deg, reading_deg):
    grey = greys(figures.Dial(answer_deg, 6.0, 12.0, reading_deg, ("", "", "", "")))

    assert grey(answer_deg, 0.4) < 60  # solid
    assert 60 < grey(answer_deg + 4.5, 0.5) < grey(answer_deg + 10.0, 0.5) < 250  # full, part
    assert 60 < grey(answer_deg - 4.5, 0.5) < grey(answer_deg - 10.0, 0.5) < 250
    assert grey(answer_deg + 15.0, 0.5) == 255
    along = [grey(reading_deg, share / 100) for share in range(8, 45)]
    assert (min(along) < 60, max(along)) == (True, 255)  # broken
    assert grey(reading_deg, (figures.FACE - 12) / 120) == 255  # the ring is empty
    assert grey(answer_deg + 90.0, 0.5) == 255
