"""Surveys at the desk and on the phone: points measured from others, visits at the mark, what is
kept of them.
"""

import json
import time
import uuid

import pytest
from django.utils import timezone

from exercises.domain.earth.geodesy import Position, apart_m, destination
from exercises.domain.surveying.survey import day_at
from exercises.models import Point, Survey
from tests import cast


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


MEASURED = {
    "bearing_deg": "070",
    "north": "true",
    "distance_m": "250",
    "bearing_error_deg": "0,5",
    "distance_error_m": "0.2",
    "on": "2026-10-03",
    "code": "n1",
    "name": "new",
    "mark": "",
    "is_target": "on",
}


def measured(desk, site, **changes):
    return desk.post(
        f"/sites/{site.pk}/measured/",
        {
            "client_id": str(uuid.uuid4()),
            "start": site.points.get(code="A").pk,
            **MEASURED,
            **changes,
        },
    )


def test_a_measured_point_is_shown_before_it_is_made(desk, site):
    answer = measured(desk, site)

    assert "Make the point" in answer.content.decode()
    assert Point.objects.count() == 5


def test_a_long_line_by_an_uncertain_bearing_is_said_to_bend(desk, site):
    answer = measured(desk, site, bearing_error_deg=5, distance_m=1500)

    assert "put 6 m nearer than you measured" in answer.content.decode()


def test_a_measured_point_lies_where_it_was_measured(desk, site):
    """But for a centimetre by which the uncertain bearing bends the line (test_radiated_arc)."""
    measured(desk, site, make="yes")

    start, made = site.points.get(code="A").as_domain(), site.points.get(code="N1")
    assert apart_m(made.as_domain().position, destination(start.position, 70, 250)) < 0.01
    assert made.surveys.get().details["from"] == "A"
    assert made.major_m > made.minor_m


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"bearing_deg": "370"}, "more than a full circle"),
        ({"bearing_deg": ""}, "required"),
        ({"distance_m": "0"}, "greater than or equal"),
        ({"on": "2035-01-01", "north": "magnetic"}, "ends on"),
        ({"code": "A"}, "point of that code already"),
        ({"code": "z!"}, "capital letters or digits"),
        ({"is_target": ""}, "a station, a target, or both"),
        ({"start": "999999"}, "valid choice"),
    ],
)
def test_a_measurement_that_cannot_be_is_refused_in_words(desk, site, changes, said):
    answer = measured(desk, site, make="yes", **changes)

    assert said in answer.content.decode()
    assert Point.objects.count() == 5


def fixes(count=20, radius=6.0, latitude=-45.131, longitude=170.101):
    return json.dumps(
        [
            [
                latitude + 1e-6 * (number % 3),
                longitude,
                radius,
                round(time.time() * 1000) - 60_000 + 1000 * number,
                400 if number % 2 else None,
            ]
            for number in range(count)
        ]
    )


def here(desk, site, at="", accept="application/json", **fields):
    address = f"/sites/{site.pk}/points/{at}/here/" if at else f"/sites/{site.pk}/here/"
    return desk.post(
        address,
        {"client_id": str(uuid.uuid4()), "fixes": "", "place": "", "accuracy_m": "", **fields},
        headers={"accept": accept},
    )


def test_a_visit_with_a_phone_becomes_a_survey(desk, site):
    answer = here(desk, site, "T1", fixes=fixes())

    survey = site.points.get(code="T1").surveys.last()
    assert answer.json()["status"] == "stored"
    assert (
        survey.method,
        survey.details["fixes"],
        survey.details["seconds"],
        survey.measured_on.isoformat(),
    ) == ("averaged", 20, 19, day_at(timezone.now(), 170.1).isoformat())
    assert survey.major_m > 3.5  # six metres stated, of which nine tenths last


def test_a_new_point_is_made_where_the_phone_stands(desk, site):
    here(desk, site, fixes=fixes(), code="n1", name="new mark", mark="peg", is_target="")

    assert apart_m(site.points.get(code="N1").as_domain().position, Position(-45.131, 170.101)) < 1


def test_a_survey_that_is_sent_twice_is_stored_once_and_answered_alike(desk, site):
    one = str(uuid.uuid4())
    first = here(desk, site, client_id=one, fixes=fixes(), code="n1", name="new mark", mark="peg")
    again = here(desk, site, client_id=one, fixes=fixes(), code="n1", name="new mark", mark="peg")

    assert first.json() == again.json()
    assert Survey.objects.filter(client_id=one).count() == 1


def test_a_place_may_be_typed_instead(desk, site):
    here(
        desk,
        site,
        "T1",
        accept="text/html",
        place="45°07'48.72\"S 170°06'03.60\"E",
        accuracy_m="2,5",
    )

    survey = site.points.get(code="T1").surveys.last()
    assert (survey.method, survey.major_m, survey.details["how"]) == ("receiver", 2.5, "typed")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"fixes": "[]"}, "no two positions"),
        ({"fixes": "x"}, "cannot be read"),
        ({"fixes": "[[1]]"}, "cannot be read"),
        ({"fixes": json.dumps([[1, 2, 3, "x", None]] * 2)}, "cannot be read"),
        ({"fixes": json.dumps([[1, 2, -3, 4, 5]] * 2)}, "cannot be read"),
        ({"fixes": "[[NaN, 2, 3, 4, 5], [1, 2, 3, 4, 5]]"}, "cannot be read"),
        ({"fixes": fixes(latitude=45.131)}, "South is negative"),
        ({"place": "somewhere"}, "not a place"),
        ({"place": "45.13, 170.10"}, "South is negative"),
        ({}, "Let the phone take positions"),
        ({"place": "-45.13000, 170.10000", "client_id": "x"}, "valid UUID"),
    ],
)
def test_what_is_no_survey_is_refused_in_words_and_nothing_is_stored(desk, site, fields, said):
    answer = here(desk, site, "T1", **fields)

    assert answer.status_code == 422
    assert said in " ".join(answer.json()["errors"].values())
    assert Survey.objects.count() == 0


def test_a_refused_form_shows_again_what_was_typed(desk, site):
    answer = here(
        desk,
        site,
        accept="text/html",
        place="somewhere odd",
        code="n1",
        name="new mark",
        mark="peg",
    )

    assert answer.status_code == 422
    assert all(typed in answer.content.decode() for typed in ("somewhere odd", "new mark", "peg"))


def test_the_surveys_of_a_point_are_listed_with_what_is_odd(desk, site):
    here(desk, site, "T1", place="-45.12900, 170.10360", accuracy_m="1")
    here(desk, site, "T1", fixes=fixes(latitude=-45.1285, longitude=170.1036))

    page = desk.get(f"/sites/{site.pk}/points/T1/surveys/").content.decode()

    assert page.count("too far to be chance") >= 1
    assert "20 positions in 19 s" in page


def test_a_survey_is_set_aside_and_taken_in_again(desk, site):
    here(desk, site, "T1", place="-45.12900, 170.10360", accuracy_m="1")
    survey = site.points.get(code="T1").surveys.last()

    for aside, kept in (("yes", True), ("no", False)):
        desk.post(f"/sites/{site.pk}/points/T1/surveys/{survey.pk}/", {"aside": aside})
        survey.refresh_from_db()
        assert survey.is_set_aside is kept


def test_a_survey_of_another_site_is_not_there(desk, karl, site):
    theirs = cast.site_of(karl, "Elsewhere")
    here_is = theirs.points.get(code="T1")
    survey = Survey.objects.create(
        point=here_is,
        method="map",
        latitude=here_is.latitude,
        longitude=here_is.longitude,
        major_m=1,
        minor_m=1,
        received_at=cast.NOW,
    )

    assert (
        desk.post(f"/sites/{site.pk}/points/T1/surveys/{survey.pk}/", {"aside": "yes"}).status_code
        == 404
    )


def test_a_point_that_is_typed_anew_replaces_its_surveys(desk, site):
    point = site.points.get(code="T1")
    desk.post(
        f"/sites/{site.pk}/points/T1/",
        {
            "code": "T1",
            "name": point.name,
            "latitude": "-45.129",
            "longitude": "170.1036",
            "elevation_m": "400",
            "accuracy_m": "2",
            "method": "map",
            "mark": "",
            "is_target": "on",
        },
    )

    assert list(point.surveys.values_list("method", "is_set_aside")) == [
        ("receiver", True),
        ("map", False),
    ]


def test_a_point_whose_name_changes_keeps_its_surveys(desk, site):
    point = site.points.get(code="T1")
    page = desk.get(f"/sites/{site.pk}/points/T1/").context["form"]
    desk.post(
        f"/sites/{site.pk}/points/T1/",
        {name: page[name].value() for name in page.fields}
        | {
            f"initial-{name}": page[name].value()
            for name in ("latitude", "longitude", "elevation_m", "accuracy_m", "method")
        }
        | {"name": "the other thing", "is_target": "on"},
    )

    point.refresh_from_db()
    assert (point.name, point.surveys.count()) == ("the other thing", 0)


def test_a_typed_place_is_taken_though_the_phone_took_positions(desk, site):
    here(
        desk,
        site,
        "T1",
        accept="text/html",
        fixes=fixes(),
        place="-45.12900, 170.10360",
        typed="yes",
    )

    assert site.points.get(code="T1").surveys.last().details["how"] == "typed"


def test_a_survey_without_a_height_keeps_the_points_own_and_a_new_point_has_none(desk, site):
    here(desk, site, "T1", place="-45.12900, 170.10360")
    here(desk, site, place="-45.12900, 170.10560", code="n1", name="new", mark="peg")

    assert (site.points.get(code="T1").elevation_m, site.points.get(code="N1").elevation_m) == (
        400.0,
        None,
    )


def test_an_old_page_does_not_undo_a_survey_that_came_meanwhile(desk, site):
    page = desk.get(f"/sites/{site.pk}/points/T1/").context["form"]
    shown = {name: page[name].value() for name in page.fields}
    here(desk, site, "T1", place="-45.12900, 170.10360", accuracy_m="0.5")
    now_at = site.points.get(code="T1").latitude

    desk.post(
        f"/sites/{site.pk}/points/T1/",
        {
            **shown,
            **{
                f"initial-{name}": shown[name]
                for name in ("latitude", "longitude", "elevation_m", "accuracy_m", "method")
            },
            "name": "a better name",
            "is_target": "on",
        },
    )

    point = site.points.get(code="T1")
    assert (point.name, point.latitude, point.surveys.filter(is_set_aside=True).count()) == (
        "a better name",
        now_at,
        0,
    )


def test_a_form_that_went_back_and_names_another_point_is_refused_in_words(desk, site):
    one = str(uuid.uuid4())
    here(desk, site, client_id=one, fixes=fixes(), code="n1", name="new", mark="peg")

    answer = here(desk, site, client_id=one, fixes=fixes(), code="n2", name="other", mark="peg")

    assert "has stored a point already" in " ".join(answer.json()["errors"].values())
    assert not site.points.filter(code="N2").exists()


def test_a_measurement_sent_twice_is_refused_in_words(desk, site):
    one = str(uuid.uuid4())
    measured(desk, site, make="yes", client_id=one)

    answer = measured(desk, site, make="yes", client_id=one, code="n2")

    assert "has stored a point already" in answer.content.decode()


def test_a_place_known_to_a_kilometre_is_refused(desk, site):
    assert "too coarse for a compass course" in " ".join(
        here(desk, site, "T1", fixes=fixes(radius=90_000)).json()["errors"].values()
    )


@pytest.mark.parametrize("hostile", ["[" * 50_000, "[[" + "9" * 400 + ",1,1,1,1],[1,1,1,1,1]]"])
def test_hostile_positions_are_refused(desk, site, hostile):
    assert here(desk, site, "T1", fixes=hostile).status_code == 422


def test_how_a_typed_place_was_read_is_said(desk, site):
    answer = here(
        desk, site, "T1", accept="text/html", place="170.10360, -45.12900, 412 m", accuracy_m="1"
    )

    page = desk.get(answer["Location"]).content.decode()
    assert "Read as 45.12900° S, 170.10360° E. The longitude was read first" in page
    assert "412 m was read as its height." in page
    assert site.points.get(code="T1").surveys.latest("pk").elevation_m == 412.0


def test_a_typed_place_with_something_left_over_is_refused_and_stays(desk, site):
    answer = here(desk, site, "T1", accept="text/html", place="-45.12900, 170.10360, 12")

    assert (answer.status_code, Survey.objects.filter(details__how="typed").count()) == (422, 0)
    assert "“12” is left over" in answer.content.decode()
    assert "-45.12900, 170.10360, 12" in answer.content.decode()
