"""What happens as the magnetic model comes to its end: it is said in time, classes of later days
are refused in words, and what was held goes on.

The end: the World Magnetic Model 2025 is valid until 2029-12-31 (WMM2025 report, NOAA NCEI and BGS,
1: 2025.0 to 2030.0).
"""

import datetime
from datetime import UTC

import pytest
from django.utils import timezone

from exercises import checks
from exercises.domain.earth import magnetics
from exercises.models import CourseClass
from exercises.usecases import open_class
from tests import cast

BEFORE, SOON, LAST, FIRST_WITHOUT, AFTER = (
    datetime.date(2028, 12, 31),
    datetime.date(2029, 11, 15),
    datetime.date(2029, 12, 31),
    datetime.date(2030, 1, 1),
    datetime.date(2030, 6, 15),
)


@pytest.fixture
def on_day(monkeypatch):
    """Let the program's clock show half past midnight of a day, UTC."""

    def to(day):
        moment = datetime.datetime.combine(day, datetime.time(0, 30), UTC)
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return to


@pytest.mark.parametrize(
    ("day", "is_near", "is_over"),
    [
        (BEFORE, False, False),
        (datetime.date(2029, 1, 1), True, False),
        (SOON, True, False),
        (LAST, True, False),
        (FIRST_WITHOUT, True, True),
        (AFTER, True, True),
    ],
)
def test_the_end_is_near_from_a_year_before_and_then_it_is_over(day, is_near, is_over):
    ending = magnetics.ending(day)

    assert bool(ending) is is_near
    assert ending is None or (ending.day, ending.is_over) == (FIRST_WITHOUT, is_over)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (BEFORE, None),
        (SOON, "The magnetic model ends on 1 January 2030"),
        (LAST, "The magnetic model ends on 1 January 2030"),
        (FIRST_WITHOUT, "The magnetic model ended on 1 January 2030"),
        (AFTER, "The magnetic model ended on 1 January 2030"),
    ],
)
def test_the_first_page_tells_the_instructor(client, ines, on_day, day, words):
    on_day(day)
    client.force_login(ines)

    page = client.get("/sites/").content.decode()

    assert ("magnetic model" in page) is bool(words)
    assert words is None or words in page


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (BEFORE, []),
        (SOON, ["The World Magnetic Model in use ends on 2030-01-01, in 47 days."]),
        (LAST, ["The World Magnetic Model in use ends on 2030-01-01, in 1 day."]),
        (FIRST_WITHOUT, ["The World Magnetic Model in use ended on 2030-01-01."]),
        (AFTER, ["The World Magnetic Model in use ended on 2030-01-01."]),
    ],
)
def test_the_check_tells_the_operator_what_to_do(on_day, day, said):
    on_day(day)

    found = checks.model_lasts(None)

    assert [one.msg for one in found] == said
    assert [one.id for one in found] == ["navclass.W003"] * len(said)
    assert all("Every five years" in one.hint for one in found)


@pytest.mark.parametrize(
    ("day", "is_made"),
    [(SOON, True), (LAST, True), (FIRST_WITHOUT, False), (AFTER, False)],
)
def test_a_class_of_a_day_without_a_model_is_not_made_and_nothing_typed_is_lost(
    desk, ines, day, is_made
):
    course = cast.course_of(cast.site_of(ines))

    answer = desk.post(
        f"/courses/{course.pk}/classes/new/",
        {
            "name": "New Year",
            "date": day.isoformat(),
            "time_zone": "Pacific/Auckland",
            "unit": "deg",
            "feedback": "at_once",
            "key_source": "computed",
        },
    )

    assert CourseClass.objects.exists() is is_made
    if not is_made:
        page = answer.content.decode()
        assert f"No declination for {day}: the model in use ends on 2030-01-01." in page
        assert 'value="New Year"' in page


@pytest.fixture
def draft(ines):
    return cast.class_of(ines, is_open=False)


@pytest.mark.parametrize("day", [FIRST_WITHOUT, AFTER])
def test_a_class_is_not_put_off_to_such_a_day(desk, draft, day):
    answer = desk.post(
        f"/classes/{draft.pk}/settings/",
        {
            "name": "Saturday",
            "date": day.isoformat(),
            "time_zone": "Pacific/Auckland",
            "feedback": "at_once",
            "key_source": "computed",
            "pass_share": "",
            "names_until": "2031-01-01",
        },
    )

    draft.refresh_from_db()
    assert draft.date == cast.DAY
    assert "the model in use ends on 2030-01-01" in answer.content.decode()


def test_a_class_is_not_held_again_on_such_a_day(desk, draft):
    answer = desk.post(f"/classes/{draft.pk}/again/", {"name": "Again", "on": "2030-06-15"})

    assert CourseClass.objects.count() == 1
    assert "the model in use ends on 2030-01-01" in answer.content.decode()


def test_a_draft_of_such_a_day_from_before_is_not_opened(ines):
    draft = cast.class_of(ines, is_open=False, on=AFTER)

    with pytest.raises(open_class.NotReady, match="the model in use ends on 2030-01-01"):
        open_class.open_class(course_class=draft, by=ines, now=cast.NOW)


@pytest.mark.parametrize("day", [FIRST_WITHOUT, AFTER])
def test_what_was_held_goes_on_with_its_key_and_debrief(client, ines, on_day, day):
    held = cast.class_of(ines, on=LAST)
    ((mia, _),) = cast.join(held, "Mia")
    cast.send(held, mia, ("1", "044"))
    cast.close(held)
    before = held.keys.get().answers
    on_day(day)
    client.force_login(ines)

    paths = [
        f"/classes/{held.pk}/{part}"
        for part in (
            *("", "key/", "debrief/", f"people/{mia.pk}/", "results.csv"),
            *("print/", "print/map.pdf", "retest/", "emergency/", "settings/"),
        )
    ]
    answers = {path: client.get(path).status_code for path in paths}
    assert answers == dict.fromkeys(paths, 200)
    assert held.keys.get().answers == before


@pytest.mark.parametrize("day", [FIRST_WITHOUT, AFTER])
@pytest.mark.parametrize("is_sent", [False, True])
def test_no_page_of_the_ground_falls_over_without_a_model(client, ines, on_day, day, is_sent):
    course = cast.course_of(cast.site_of(ines))
    on_day(day)
    client.force_login(ines)
    site = f"/sites/{course.site_id}"

    pages = [
        *(f"{site}/", f"{site}/ground/", f"{site}/points/A/lines/", f"{site}/measured/"),
        *(f"{site}/traverse/", f"{site}/safety/", f"{site}/over-time/", "/season/"),
        *(f"/courses/{course.pk}/", f"/courses/{course.pk}/shows/"),
        f"/courses/{course.pk}/propose/?number=4&kind=sight&north=magnetic&preset=usual",
    ]
    sent = [(f"/courses/{course.pk}/pair/", {"station": ["A", "B"]})]
    answers = (
        {path: client.post(path, fields).status_code for path, fields in sent}
        if is_sent
        else {path: client.get(path).status_code for path in pages}
    )

    assert [path for path, status in answers.items() if status not in (200, 302)] == []
