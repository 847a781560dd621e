"""Prints of a class at the desk, and the cards that open stations on phones."""

import datetime
import io

import pytest

from exercises.models import CourseClass, Point, Survey
from tests import cast, optional


def text(answer):
    printed = optional.package("pdfplumber").open(io.BytesIO(answer.content))
    return "\n".join(page.extract_text() for page in printed.pages)


@pytest.mark.parametrize("what", ["cards", "map", "sheets", "key", "pack"])
def test_everything_is_printed_before_and_after_opening(desk, ines, what):
    for is_open in (False, True):
        made = cast.class_of(
            ines, is_open=is_open, course=CourseClass.objects.first().course if is_open else None
        )

        answer = desk.get(f"/classes/{made.pk}/print/{what}.pdf")

        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
        assert answer.content.startswith(b"%PDF-")


@pytest.mark.parametrize("what", ["cards", "map", "sheets", "pack"])
def test_what_is_handed_out_holds_no_answer(desk, open_class, what):
    answers = open_class.keys.get().as_domain()
    printed = text(desk.get(f"/classes/{open_class.pk}/print/{what}.pdf"))

    assert [
        f"{round(answer.bearings_deg[north]):03d}°"
        for answer in answers
        if answer.given_deg is None
        for north in ("true", "grid", "magnetic")
        if f"{round(answer.bearings_deg[north]):03d}°" in printed
    ] == []
    assert "T3 (" not in printed


def test_the_key_holds_answers_and_what_mistakes_would_give(desk, open_class):
    printed = text(desk.get(f"/classes/{open_class.pk}/print/key.pdf"))

    assert all(
        words in printed
        for words in (
            "045° magnetic",
            "225° reversed",
            "070° declination left out",
            "For the instructor alone.",
        )
    )


def test_sheets_bear_the_names_of_the_class(desk, open_class):
    cast.join(open_class, "Mia", "Tom")

    printed = text(desk.get(f"/classes/{open_class.pk}/print/sheets.pdf"))

    assert "Mia" in printed
    assert "Tom" in printed


def test_a_site_that_fits_no_sheet_says_what_to_do(desk, ines):
    open_class = cast.class_of(ines, is_open=False)
    Point.objects.filter(code="T1").update(latitude=-45.03)

    answer = desk.get(f"/classes/{open_class.pk}/print/map.pdf")

    assert answer.status_code == 409
    assert b"too wide for this paper" in answer.content


@pytest.mark.parametrize(
    "query",
    [
        "paper=a3&cards=a5&north=grid",
        "paper=a4&cards=a7&north=grid",
        "paper=a4&cards=a5&north=up",
        "paper=",
    ],
)
def test_paper_that_is_not_offered_prints_nothing(desk, open_class, query):
    assert desk.get(f"/classes/{open_class.pk}/print/map.pdf?{query}").status_code == 404


def test_a_print_that_is_none_is_not_there(desk, open_class):
    assert desk.get(f"/classes/{open_class.pk}/print/answers.pdf").status_code == 404


def test_the_key_is_not_one_click_from_the_sheets(desk, open_class):
    page = desk.get(f"/classes/{open_class.pk}/print/").content.decode()

    assert page.index("<details>") < page.index("key.pdf")
    assert "key.pdf" not in page[: page.index("<details>")]


def card_of(course_class, code="A"):
    return course_class.course.site.points.get(code=code).card_code


def test_a_card_opens_its_station_in_the_phones_class(phone, open_class):
    for form in (
        f"/s/{card_of(open_class)}/",
        f"/S/{card_of(open_class)}/",
        f"/s/{card_of(open_class).lower()}/",
    ):
        assert phone.get(form).url == f"/c/{open_class.code}/#A"


def test_a_card_opens_the_open_class_where_the_phone_is_in_two(phone, open_class, ines):
    old = cast.class_of(ines, course=open_class.course, on=datetime.date(2026, 12, 1))
    cast.close(old)
    cast.speaks_for(phone, old, cast.join(old, "Mia"))

    assert phone.get(f"/s/{card_of(open_class)}/").url == f"/c/{open_class.code}/#A"


def test_a_card_leads_through_joining_to_its_station(client, open_class):
    card, code = card_of(open_class), open_class.code
    page = client.get(f"/s/{card}/").content.decode()
    typed = client.get("/", {"card": card, "code": code})
    joined = client.post(
        typed.url, {"names": "Mia", "compass": "", "graduation": "2", "is_set": "no"}
    )

    assert "This is the card of station A, Test ground. Join your class with its code:" in page
    assert f'<input type="hidden" name="card" value="{card}">' in page
    assert typed.url == f"/c/{code}/join/?card={card}"
    assert joined.url == f"/c/{code}/#A"


def test_a_card_leads_through_the_personal_code_to_its_station(client, open_class):
    ((mia, _),) = cast.join(open_class, "Mia")
    way = f"?card={card_of(open_class)}"
    page = client.get(f"/c/{open_class.code}/join/{way}").content.decode()
    joined = client.post(
        f"/c/{open_class.code}/other-phone/{way}", {"personal_code": mia.personal_code}
    )

    assert f'href="/c/{open_class.code}/other-phone/{way}"' in page
    assert joined.url == f"/c/{open_class.code}/#A"


def test_a_card_is_not_forgotten_over_a_wrong_code(client, open_class):
    page = client.get("/", {"card": card_of(open_class), "code": "NOSUCH"}).content.decode()

    assert f'<input type="hidden" name="card" value="{card_of(open_class)}">' in page


def test_a_card_of_other_ground_leads_to_the_class_alone(phone, open_class, karl):
    theirs = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))

    assert (
        phone.get(f"/c/{open_class.code}/join/?card={card_of(theirs)}").url
        == f"/c/{open_class.code}/"
    )
    assert phone.get(f"/c/{open_class.code}/join/?card=\x00").url == f"/c/{open_class.code}/"


def test_a_class_of_another_site_is_not_opened_by_a_card(client, karl, open_class):
    theirs = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))
    cast.speaks_for(client, theirs, cast.join(theirs, "Mia"))

    assert client.get(f"/s/{card_of(open_class)}/").status_code == 200


def test_the_short_code_may_be_typed_where_a_class_code_is(phone, open_class):
    assert phone.get(f"/?code={card_of(open_class).lower()}").url == f"/s/{card_of(open_class)}/"


def test_a_card_that_is_none_is_not_there(client, db):
    assert client.get("/s/AAAAAA/").status_code == 404


def test_a_phone_knows_its_cards_for_when_there_is_no_signal(phone, open_class):
    stations = phone.get(f"/c/{open_class.code}/state/").json()["stations"]

    assert [(station["code"], station["card"]) for station in stations] == [
        ("A", card_of(open_class)),
        ("B", card_of(open_class, "B")),
    ]


def test_a_map_printed_after_opening_shows_the_ground_that_the_key_was_reckoned_from(
    desk, open_class
):
    before = desk.get(f"/classes/{open_class.pk}/print/map.pdf").content
    Point.objects.filter(site=open_class.course.site, code="T1").update(
        latitude=-45.131, longitude=170.101
    )

    assert desk.get(f"/classes/{open_class.pk}/print/map.pdf").content == before


def test_a_station_that_lost_its_code_is_said_and_not_printed(desk, open_class):
    Point.objects.filter(site=open_class.course.site, code="A").update(code="Q")

    answer = desk.get(f"/classes/{open_class.pk}/print/cards.pdf", follow=True)

    assert (
        "The station A of the key is not on the site any more, or has another code."
        in answer.content.decode()
    )


def sheets_of(answer):
    """The pages of a map."""
    printed = optional.package("pdfplumber").open(io.BytesIO(answer.content))
    return [page.extract_text() for page in printed.pages]


def test_a_map_has_the_lines_that_its_tasks_ask_whatever_was_chosen(desk, ines):
    made = cast.class_of(ines, is_open=False)
    made.course.tasks.filter(number=1).update(kind="map", north="true")

    as_asked = sheets_of(desk.get(f"/classes/{made.pk}/print/map.pdf"))
    both = sheets_of(desk.get(f"/classes/{made.pk}/print/map.pdf?paper=a4&cards=a5&north=grid"))

    assert [("true north" in page, "Lines: grid north" in page) for page in as_asked] == [
        (True, False)
    ]
    assert "For the tasks that ask true north: 1." in " ".join(as_asked[0].split())
    assert ["Lines: meridians" in page for page in both] == [True, False]


def test_a_map_says_when_its_points_were_surveyed(desk, open_class):
    point = Point.objects.get(site=open_class.course.site, code="A")
    for day, is_set_aside in (("2026-03-12", False), ("2026-04-02", False), ("2025-01-01", True)):
        Survey.objects.create(
            point=point,
            method="receiver",
            latitude=point.latitude,
            longitude=point.longitude,
            major_m=1,
            minor_m=1,
            measured_on=day,
            received_at=cast.NOW,
            is_set_aside=is_set_aside,
        )

    (page,) = sheets_of(desk.get(f"/classes/{open_class.pk}/print/map.pdf"))

    assert "Surveyed from 12 March 2026 to 2 April 2026." in " ".join(page.split())
