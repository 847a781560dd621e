"""Lengths in the unit that somebody chose: legs of a walk, and how far a place is missed."""

import re

import pytest

from tests import cast
from tests.views.test_station import told_after
from tests.views.test_units import state

from .answering import WALK


def legs(client, course_class):
    task = next(one for one in state(client, course_class)["tasks"] if "legs" in one)
    mia = course_class.people.get(name="Mia")
    return [leg["text"] for leg in task["said_to"].get(str(mia.pk), task)["legs"]]


def test_legs_are_told_in_the_unit_that_somebody_chose(client, held):
    in_metres = legs(client, held)

    client.post(f"/c/{held.code}/lengths/", {"lengths": "ft"})

    (metres,) = re.findall(r"(\d+) m$", in_metres[0])
    assert legs(client, held)[0] == re.sub(
        r"\d+ m$", f"{round(int(metres) / 0.3048)} ft", in_metres[0]
    )


def test_who_chooses_paces_is_led_to_count_them_and_told_metres_until_then(client, held):
    in_metres = legs(client, held)

    answer = client.post(f"/c/{held.code}/lengths/", {"lengths": "pace"})

    assert answer.url == f"/c/{held.code}/pace/"
    assert legs(client, held) == in_metres


def test_counted_paces_stand_in_the_legs(client, held):
    mia = held.people.get(name="Mia")
    client.post(f"/c/{held.code}/lengths/", {"lengths": "pace"})
    client.post(f"/c/{held.code}/pace/", {"length": "100", f"person{mia.pk}": "50"})

    assert legs(client, held)[0] == "020° magnetic for 50 of your double paces (100 m)"


def test_a_line_may_be_taped_in_feet(client, held):
    mia = held.people.get(name="Mia")
    client.post(f"/c/{held.code}/lengths/", {"lengths": "ft"})
    client.post(f"/c/{held.code}/pace/", {"length": "300", f"person{mia.pk}": "60"})

    mia.refresh_from_db()
    assert mia.pace_m == pytest.approx(300 * 0.3048 / 60)


def test_a_unit_of_lengths_that_is_none_changes_nothing(client, held):
    client.post(f"/c/{held.code}/lengths/", {"lengths": "mile"})

    assert held.people.get(name="Mia").lengths == "m"


def test_a_miss_is_told_in_feet_to_who_chose_them(client, held):
    client.post(f"/c/{held.code}/lengths/", {"lengths": "ft"})
    form = next(one.form for one in held.keys.get().as_domain() if one.task == WALK)
    wrong = max(form.spots, key=lambda spot: spot.east_m**2 + spot.north_m**2).code
    mia = held.people.get(name="Mia")

    (told,) = told_after(client, held, cast.reading(mia, task=WALK, text=wrong))["shown"]

    assert re.match(r"\d+ ft from it", told["error"])
    assert " m " not in told["error"]
