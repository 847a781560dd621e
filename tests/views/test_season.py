"""The report of a season: it adds up, whose classes are in it, and no name of a participant."""

import datetime

import pypdfium2
import pytest
from django.conf import settings
from django.utils import translation

from exercises.models import CourseClass
from exercises.presenting.season import season_report, season_text
from exercises.printing import paper
from exercises.printing.season import SeasonReport, season_sheet
from exercises.usecases import organise
from exercises.usecases.season import season_of
from tests import cast, demonstration
from tests.printing import boxes

YEAR = {"from": "2026-01-01", "to": "2026-12-31"}


def said(answer):
    return " ".join(answer.content.decode().split())


@pytest.fixture
def season(ines):
    """Two closed classes of Ines's on one course."""
    first = cast.six_read(cast.class_of(ines))
    week_after = datetime.date(2026, 10, 10)
    second = cast.six_read(cast.class_of(ines, course=first.course, on=week_after), too_much_deg=0)
    CourseClass.objects.update(state="closed", closed_at=cast.LATER)
    return first, second


def test_it_tells_classes_people_and_readings(desk, season):
    page = said(desk.get("/season/", YEAR))

    assert "2 classes, 12 people, 24 readings." in page
    assert "1. 3 Oct 2026, Short round: 6 people" in page
    assert "2. 10 Oct 2026, Short round: 6 people" in page


def test_classes_of_other_days_are_not_in_it(desk, season):
    page = said(desk.get("/season/", {"from": "2026-10-05", "to": "2026-12-31"}))

    assert "1 class, 6 people, 12 readings." in page


def test_no_name_of_a_participant_is_in_it(desk, season):
    names = ("Zebulon", "Ysolde", "Xanthe", "Wystan", "Quillan", "Bertrude")
    for held in season:
        for person, name in zip(held.people.order_by("pk"), names, strict=True):
            person.name = name
            person.save()

    page = said(desk.get("/season/", YEAR))
    document = pypdfium2.PdfDocument(desk.get("/season.pdf", YEAR).content)
    printed = "".join(one.get_textpage().get_text_range() for one in document)

    assert [name for name in names if name in page + printed] == []


def test_a_station_that_is_sound_later_is_called_mended(desk, season):
    """Six people read 12° too much at A in the first class, and right in the second."""
    assert "at fault and are sound now: Test ground: A." in said(desk.get("/season/", YEAR))


def test_who_has_no_class_is_told_so_and_sees_nobody_elses(client, karl, season):
    client.force_login(karl)

    assert "No class was held and closed between these days." in said(client.get("/season/", YEAR))


def test_an_organisation_sees_the_classes_on_its_sites(client, ines, karl, season):
    organisation = organise.found(name="The club", by=ines, now=cast.NOW)
    organise.join(organisation=organisation, user=karl, now=cast.NOW)
    site = season[0].course.site
    site.organisation = organisation
    site.save()
    client.force_login(karl)

    page = said(client.get("/season/", {**YEAR, "of": organisation.pk}))

    assert "2 classes, 12 people, 24 readings." in page


def test_who_is_not_in_an_organisation_sees_nothing_of_it(client, ines, karl, season):
    organisation = organise.found(name="The club", by=ines, now=cast.NOW)
    client.force_login(karl)

    for asked in (organisation.pk, "x", "99999999"):
        assert client.get("/season/", {**YEAR, "of": asked}).status_code == 404


@pytest.mark.parametrize(
    "days", [{"from": "2026-13-01"}, {"from": "2026-12-01", "to": "2026-01-01"}]
)
def test_days_that_are_none_are_refused_in_words(desk, season, days):
    page = desk.get("/season/", {**YEAR, **days})

    assert page.context["form"].errors
    assert desk.get("/season.pdf", {**YEAR, **days}).status_code == 404


# --- on paper


@pytest.mark.django_db
@pytest.mark.parametrize("name", paper.SIZES)
@pytest.mark.parametrize("language", [code for code, _ in settings.LANGUAGES])
def test_the_report_is_one_page_with_its_parts_apart(name, language):
    demonstration.load()
    owner = CourseClass.objects.first().owner
    begin, end = datetime.date(2026, 1, 1), datetime.date(2026, 12, 31)
    found = season_of(user=owner, organisation=None, begin=begin, end=end, now=cast.LATER)
    with translation.override(language):
        text = season_text(found, begin, end, "Matagouri Field Centre")
        (page,) = boxes.pages(season_sheet(season_report(text), paper.size(name)))

    assert page.overlaps() == []
    assert page.near_the_edge(5.0) == []


def test_forty_classes_stay_on_their_page():
    line = "A kind of task with a long name: 64% with full credit (58% to 70%), 400 readings."
    report = SeasonReport(
        "The season",
        "1 January 2026 to 31 December 2026",
        "40 classes, 800 people, 9600 readings.",
        tuple((f"Part {number}", (line,) * 6) for number in range(4)),
        "Readings with full credit, class by class",
        ((0.6, 0.5, 0.7),) * 40,
        "How this was measured. " * 25,
    )

    (page,) = boxes.pages(season_sheet(report, paper.size("letter")))

    assert page.overlaps() == []
    assert page.near_the_edge(5.0) == []
