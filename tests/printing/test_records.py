"""The record on one page: nothing lies on something else, its figures add up, and it says by which
standard. Measured on the PDF by PDFium; the presets' sources stand in `domain.tasks.bands`.
"""

import re
from dataclasses import replace

import pytest
from django.conf import settings
from django.utils import translation

from exercises.domain.tasks.bands import PRESETS
from exercises.models import CourseClass
from exercises.presenting.record import STANDARDS, record
from exercises.printing import paper
from exercises.printing.records import Record, record_sheets
from exercises.usecases.debrief import debrief
from tests import cast, demonstration
from tests.printing import boxes

EDGE_MM = 5.0  # printers leave 4 to 6 mm empty; common practice, no source
SHEETS = pytest.mark.parametrize(
    "sheet", [paper.size(name) for name in paper.SIZES], ids=paper.SIZES
)


def records_of(name, number=6):
    held = CourseClass.objects.get(name=name)
    whole = debrief(course_class=held, now=cast.LATER)
    people = sorted(whole.people.values(), key=lambda person: person.name)[:number]
    return whole, people, [record(whole, one, "3 Oct", "Ines Amaru") for one in people]


@pytest.mark.django_db
@SHEETS
@pytest.mark.parametrize("language", [code for code, _ in settings.LANGUAGES])
@pytest.mark.parametrize("name", ["Spring introduction", "Spring, with map and paces"])
def test_each_record_is_one_page_with_its_parts_apart(sheet, language, name):
    demonstration.load()
    with translation.override(language):
        _, people, made = records_of(name)
        pages = boxes.pages(record_sheets(made, name, sheet))

    assert len(pages) == len(people)
    for page, person in zip(pages, people, strict=True):
        assert page.overlaps() == []
        assert page.texts_on_ink() == []
        assert page.near_the_edge(EDGE_MM) == []
        assert person.name in [text.text for text in page.texts]


LONG = Record(
    "Record of a compass exercise",
    "Wilhelmina Featherstonehaugh-O",
    ("A course with a name as long as eighty letters " * 2, "A class of it · 3 October 2026"),
    "What was measured",
    ("Kind of task", "Tasks", "Full credit within", "Part credit within", "Credit"),
    (("Find where something is, seen from two", "12", "10 to 25 m", "25 to 50 m", "10.5 of 12"),)
    * 9,
    ("All", "60", "", "", "52.5 of 60"),
    ("Not there yet: 62 % of the credit, 80 % are needed.", "Tasks " + "12, " * 40),
    "By which standard",
    ("A sentence of a standard that goes over two lines at least, as they do in Spanish. " * 2,)
    * 8,
    "Somebody with a name, instructor",
    "This tells of one teaching exercise. " * 3,
)


@SHEETS
def test_a_record_with_all_kinds_and_long_words_stays_on_its_page(sheet):
    (page,) = boxes.pages(record_sheets([LONG], "x", sheet))

    assert page.overlaps() == []
    assert page.near_the_edge(EDGE_MM) == []


@pytest.mark.django_db
def test_its_figures_add_up_to_what_is_said_of_the_whole():
    demonstration.load()
    whole, people, made = records_of("Spring introduction", number=30)

    for person, one in zip(people, made, strict=True):
        rows = [(int(row[1]), *map(float, re.findall(r"[\d.]+", row[4]))) for row in one.rows]
        credit, possible = map(float, re.findall(r"[\d.]+", one.total[4]))
        judged = whole.by_person[str(person.pk)]
        spoilt = [reading for reading in whole.told.not_theirs if reading.person == str(person.pk)]
        assert sum(row[0] for row in rows) == int(one.total[1]) == possible
        assert sum(row[1] for row in rows) == credit
        assert credit == sum(reading.credit for reading in judged) - sum(
            reading.credit for reading in spoilt
        )


@pytest.mark.django_db
def test_it_names_standard_model_instructor_and_what_it_is_not():
    demonstration.load()
    _, _, made = records_of("Spring introduction", number=1)

    said = " ".join(made[0].standards)

    assert "80 % is what course pass marks usually ask; common practice." in said
    assert re.search(
        r"Declination: WMM2025 for \d+ October 2026, good to 0\.\d° \(one sigma\)", said
    )
    assert "reckoned from surveyed coordinates (WGS 84); version 1 of the key" in said
    assert made[0].signed == "Ines Amaru, instructor"
    assert "It is not a qualification" in made[0].foot


@pytest.mark.django_db
def test_limits_that_are_nobodys_figure_are_called_the_courses_own(ines, open_class, mia):
    cast.send(open_class, mia, ("1", "044"))
    whole = debrief(course_class=open_class, now=cast.LATER)
    odd = replace(whole, answers=tuple(answer.widened(7.0) for answer in whole.answers))

    said = record(odd, mia, "3 Oct", "Ines Amaru").standards

    assert "Other limits are the course's own." in said


def test_every_preset_says_where_its_limit_comes_from():
    assert set(STANDARDS) == set(PRESETS)
