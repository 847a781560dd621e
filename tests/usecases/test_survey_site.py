"""Surveys, moves, hazards and observed bearings in the database: once, all or none, and nothing
lost.
"""

import datetime
import uuid

import pytest
from django.db import IntegrityError, transaction

from exercises.domain.earth.ellipse import Ellipse, circle
from exercises.domain.earth.geodesy import Position, apart_m, moved
from exercises.domain.planning.hazards import BadShape
from exercises.models import Hazard, ObservedBearing, Point, Survey
from exercises.usecases import survey_site
from exercises.usecases.survey_site import CannotSurvey
from tests import cast

DAY = datetime.date(2026, 10, 3)
pytestmark = pytest.mark.django_db


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


@pytest.fixture
def a(site):
    return site.points.get(code="A")


def found(position, accuracy_m=3.0, method="receiver", on=DAY, **more):
    return survey_site.unsaved(
        position, circle(accuracy_m), method, measured_on=on, by=None, now=cast.NOW, **more
    )


def where(point):
    return point.as_domain().position


def test_a_first_survey_keeps_what_the_point_stood_for(a):
    survey_site.add_survey(point=a, survey=found(where(a)))

    assert [(one.method, one.major_m) for one in a.surveys.all()] == [
        ("receiver", 0.5),
        ("receiver", 3.0),
    ]


def test_two_surveys_are_combined_by_their_weights(a):
    before = where(a)

    point = survey_site.add_survey(point=a, survey=found(moved(before, 2.0, 0.0), 0.5, "surveyed"))

    assert apart_m(before, where(point)) == pytest.approx(1.0, abs=1e-4)
    assert point.accuracy_m == pytest.approx(
        0.5 / 2**0.5 * (2.0**2 / 0.5 / 2) ** 0.5, rel=1e-3
    )  # they contradict each other: Birge's ratio


def test_a_survey_sent_twice_is_stored_once(a):
    one = uuid.uuid4()
    survey_site.add_survey(point=a, survey=found(where(a), client_id=one))
    survey_site.add_survey(point=a, survey=found(moved(where(a), 5, 5), client_id=one))

    assert Survey.objects.filter(client_id=one).count() == 1
    assert a.surveys.count() == 2


def test_a_survey_of_another_point_under_the_same_id_is_refused(site, a):
    one = uuid.uuid4()
    survey_site.add_survey(point=a, survey=found(where(a), client_id=one))

    with pytest.raises(CannotSurvey, match="another point"):
        survey_site.add_survey(
            point=site.points.get(code="B"), survey=found(where(a), client_id=one)
        )


def test_the_database_itself_refuses_a_client_id_twice(a):
    one = found(where(a), client_id=uuid.uuid4())
    one.point = a
    one.save()
    again = found(where(a), client_id=one.client_id)
    again.point = a

    with pytest.raises(IntegrityError), transaction.atomic():
        again.save()


def test_a_survey_that_replaces_sets_the_earlier_ones_aside(a):
    new = moved(where(a), 30, 0)

    point = survey_site.add_survey(point=a, survey=found(new), replaces=True)

    assert apart_m(where(point), new) < 0.001
    assert [one.is_set_aside for one in point.surveys.all()] == [True, False]


def test_a_survey_set_aside_counts_no_more_and_comes_back(a):
    before = where(a)
    survey_site.add_survey(point=a, survey=found(moved(before, 30, 0), 0.5, "surveyed"))
    far = a.surveys.last()

    survey_site.set_aside(survey=far, is_set_aside=True)
    a.refresh_from_db()
    assert apart_m(where(a), before) < 0.001

    survey_site.set_aside(survey=far, is_set_aside=False)
    a.refresh_from_db()
    assert apart_m(where(a), before) == pytest.approx(15, abs=0.01)


def test_the_last_survey_in_use_stays(a):
    survey_site.add_survey(point=a, survey=found(where(a)), replaces=True)

    with pytest.raises(CannotSurvey, match="would be nowhere"):
        survey_site.set_aside(survey=a.surveys.get(is_set_aside=False), is_set_aside=True)


def test_a_long_ellipse_is_kept_with_the_point(a):
    survey_site.add_survey(
        point=a,
        replaces=True,
        survey=survey_site.unsaved(
            where(a), Ellipse(4.0, 0.2, 70.0), "surveyed", measured_on=DAY, by=None, now=cast.NOW
        ),
    )

    a.refresh_from_db()
    assert a.as_domain().error == Ellipse(
        pytest.approx(4.0), pytest.approx(0.2), pytest.approx(70.0)
    )


def test_an_ellipse_without_width_gets_a_millimetre(a):
    assert (
        survey_site.unsaved(
            where(a), Ellipse(0.0, 0.0, 0.0), "surveyed", measured_on=DAY, by=None, now=cast.NOW
        ).minor_m
        == 0.001
    )


def test_points_are_moved_all_or_none(site, a):
    new = moved(where(a), 10, 0)

    with pytest.raises(CannotSurvey, match="no point “ZZ”"):
        survey_site.move_points(
            site=site, moves=[("A", new), ("ZZ", new)], accuracy_m=3, by=None, now=cast.NOW, on=DAY
        )

    a.refresh_from_db()
    assert apart_m(where(a), new) == pytest.approx(10, abs=0.01)


def test_a_moved_point_keeps_its_height_and_says_it_is_off_a_map(site, a):
    survey_site.move_points(
        site=site,
        moves=[("A", moved(where(a), 10, 0))],
        accuracy_m=2,
        by=None,
        now=cast.NOW,
        on=DAY,
    )

    a.refresh_from_db()
    assert (a.elevation_m, a.method, a.accuracy_m) == (400.0, "map", pytest.approx(2.0))


def test_an_open_class_keeps_its_key_when_a_point_moves(open_class):
    before = open_class.keys.get().answers
    site = open_class.course.site

    survey_site.move_points(
        site=site,
        moves=[("A", moved(where(site.points.get(code="A")), 50, 0))],
        accuracy_m=2,
        by=None,
        now=cast.NOW,
        on=DAY,
    )

    assert open_class.keys.get().answers == before


def test_a_site_holds_so_many_points_and_no_more(site, monkeypatch):
    monkeypatch.setattr(survey_site, "MOST_POINTS", 5)

    with pytest.raises(CannotSurvey, match="5 points"):
        survey_site.new_point(
            point=Point(site=site, code="N", name="new"), survey=found(Position(-45.13, 170.1))
        )


def test_a_hazard_whose_outline_crosses_itself_is_not_stored(site):
    with pytest.raises(BadShape):
        survey_site.add_hazard(
            hazard=Hazard(
                site=site,
                kind="water",
                name="pond",
                is_area=True,
                corners=[
                    [-45.13, 170.10],
                    [-45.131, 170.101],
                    [-45.13, 170.101],
                    [-45.131, 170.10],
                ],
            )
        )

    assert Hazard.objects.count() == 0


def bearing(site, one, station, target, degrees):
    points = {point.code: point for point in site.points.all()}
    return ObservedBearing(
        site=site,
        client_id=one,
        station=points[station],
        target=points[target],
        bearing_deg=degrees,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )


def test_fore_and_back_of_one_form_are_two_bearings_and_the_form_again_changes_nothing(site):
    one = uuid.uuid4()
    for _ in range(2):
        survey_site.observe(
            bearings=[bearing(site, one, "A", "B", 66.0), bearing(site, one, "B", "A", 246.5)]
        )

    assert sorted(site.observed.values_list("station__code", "target__code", "bearing_deg")) == [
        ("A", "B", 66.0),
        ("B", "A", 246.5),
    ]


def test_a_bearing_off_the_circle_is_refused_by_the_database(site):
    with pytest.raises(IntegrityError), transaction.atomic():
        bearing(site, uuid.uuid4(), "A", "B", 360.0).save()
