"""Bearings in the unit of a compass, from joining to the key: on the phone, on paper, in what is
told and in what is taken out again.
"""

import csv
import io
import json

import pytest

from exercises.models import Compass, PaperEntry, Reading
from exercises.usecases.open_class import close_class, release_feedback
from exercises.views.prints import _sheet_words
from tests import cast
from tests.views.test_paper import post as type_in
from tests.views.test_station import post, told_after

MILS = {"code": "mil6400", "circle": 6400, "digits": 4}
DEGREES = {"code": "deg", "circle": 360, "digits": 3}


@pytest.fixture
def mia(open_class, client):
    """Somebody who joined with a compass of 20 mils."""
    client.post(
        f"/c/{open_class.code}/join/",
        {"names": "Mia", "compass": "3", "graduation": "mil6400:20", "is_set": "no"},
    )
    return open_class.people.get()


def state(client, course_class):
    return client.get(f"/c/{course_class.code}/state/").json()


def asked(course_class, task="1"):
    return next(one for one in course_class.keys.get().as_domain() if one.task == task)


def mils(degrees):
    """Degrees in mils, reckoned apart from the program."""
    return f"{round(degrees * 6400 / 360) % 6400:04d}"


def test_a_compass_is_kept_as_it_was_told_on_joining(mia):
    kept = Compass.objects.get()

    assert (kept.number, kept.unit, kept.graduation_deg) == ("3", "mil6400", 1.125)


@pytest.mark.parametrize("dial", ["mil6400:7", "mil1:20", "3", "deg:2", "x"])
def test_a_dial_that_nobody_makes_is_refused_on_joining(open_class, client, dial):
    client.post(f"/c/{open_class.code}/join/", {"names": "Mia", "graduation": dial, "is_set": "no"})

    assert open_class.people.count() == 0


def test_a_class_of_mils_offers_its_own_dial_first(open_class, client):
    open_class.unit = "mil6300"
    open_class.save()

    page = client.get(f"/c/{open_class.code}/join/").content.decode()

    assert '<option value="mil6300:20" selected>20 mils of 6300</option>' in page


def test_the_phone_is_told_in_what_to_ask(client, open_class, mia):
    told = state(client, open_class)

    assert told["people"][0]["unit"] == MILS
    task = told["tasks"][0]
    assert (task["beside"], task["said_to"][str(mia.pk)]["beside"]) == (
        "°\u00a0magnetic",
        "mils magnetic",
    )
    assert task["said_to"][str(mia.pk)]["prompt"].endswith(", in mils magnetic.")


def test_bearings_that_are_given_are_given_in_mils(client, open_class, mia):
    follow = asked(open_class, "2")

    told = state(client, open_class)["tasks"][1]["said_to"][str(mia.pk)]["prompt"]

    assert told == (
        f"Face along {mils(follow.given_deg)} mils {follow.given_north}. Which target lies there?"
    )


def test_two_people_on_a_phone_have_each_their_own(client, open_class, mia):
    client.post(
        f"/c/{open_class.code}/join/?more",
        {"names": "Tom", "compass": "", "graduation": "2", "is_set": "no"},
    )

    told = state(client, open_class)

    assert {one["name"]: one["unit"] for one in told["people"]} == {"Mia": MILS, "Tom": DEGREES}
    assert list(told["tasks"][0]["said_to"]) == [str(mia.pk)]


def test_a_reading_in_mils_is_kept_as_typed_with_its_unit_and_in_degrees(client, open_class, mia):
    post(client, open_class, cast.reading(mia, text="1316", unit="mil6400"))

    kept = Reading.objects.get()
    assert (kept.text, kept.unit, kept.value_deg, kept.value_mils) == (
        "1316",
        "mil6400",
        74.025,
        None,
    )


def test_feedback_speaks_mils_with_the_degrees_beside_them(client, open_class, mia):
    one = asked(open_class)
    text = mils(one.expected_deg + 2)

    (told,) = told_after(client, open_class, cast.reading(mia, text=text, unit="mil6400"))["shown"]

    degrees = round(int(text) * 360 / 6400)
    assert told["reading"] == f"{text} mils magnetic ({degrees:03d}°)"
    assert told["answer"] == (
        f"{mils(one.expected_deg)} mils magnetic ({round(one.expected_deg):03d}°)"
    )
    off = int(text) - int(mils(one.expected_deg))
    assert told["error"] == f"{off} mils clockwise of the answer."
    assert told["dial"]["unit"] == "mil6400"
    assert told["credit"] == "Full credit"


def test_what_went_wrong_is_said_without_degrees(client, open_class, mia):
    half_round = mils(asked(open_class).expected_deg + 180)

    (told,) = told_after(client, open_class, cast.reading(mia, text=half_round, unit="mil6400"))[
        "shown"
    ]

    assert told["cause"].endswith(
        "Your bearing points the opposite way: it is about half a circle off."
    )
    assert told["error"] == "Half a circle from the answer."


def test_degrees_typed_for_a_compass_of_mils_are_named(client, open_class, mia):
    degrees = f"{round(asked(open_class).expected_deg):04d}"

    (told,) = told_after(client, open_class, cast.reading(mia, text=degrees, unit="mil6400"))[
        "shown"
    ]

    assert "right on the scale of degrees, not in mils" in told["cause"]


def test_the_same_reading_in_another_unit_is_another_reading(client, open_class, mia):
    sent = cast.reading(mia, text="131", unit="mil6400")
    post(client, open_class, sent)

    (again,) = post(client, open_class, sent).json()["readings"]
    (other,) = post(client, open_class, {**sent, "unit": "deg"}).json()["readings"]

    assert (again["status"], other["status"]) == ("again", "conflict")
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("unit", ["gon", "", 6400, None, []])
def test_a_reading_in_no_known_unit_is_refused(client, open_class, mia, unit):
    (outcome,) = post(client, open_class, cast.reading(mia, unit=unit)).json()["readings"]

    assert outcome["status"] == "refused"
    assert Reading.objects.count() == 0


def test_a_page_of_before_there_was_a_choice_asked_in_degrees(client, open_class, mia):
    post(client, open_class, cast.reading(mia, text="074"))

    assert list(Reading.objects.values_list("unit", "value_deg")) == [("deg", 74.0)]


def test_another_compass_leaves_what_was_read_with_the_first(client, open_class, mia):
    post(client, open_class, cast.reading(mia, text="1316", unit="mil6400"))
    client.post(
        f"/c/{open_class.code}/compass/", {"compass": "4", "graduation": "2", "is_set": "no"}
    )
    post(client, open_class, cast.reading(mia, task="3", text="125", unit="deg"))

    assert list(Reading.objects.order_by("pk").values_list("compass_number", "unit")) == [
        ("3", "mil6400"),
        ("4", "deg"),
    ]
    assert state(client, open_class)["people"][0]["unit"] == DEGREES


# --- paper


@pytest.fixture
def of_mils(open_class):
    open_class.unit, open_class.asks = "mil6400", False
    open_class.save()
    cast.join(open_class, "Mia", "Tom")
    return open_class


def unit_of(course_class, name):
    return f"unit-{course_class.people.get(name=name).pk}"


def test_sheets_in_mils_are_taken_in_as_mils(desk, of_mils):
    type_in(
        desk,
        of_mils,
        {("Mia", "1"): "1316", ("Tom", "1"): "074"},
        take="yes",
        **{unit_of(of_mils, "Mia"): "mil6400", unit_of(of_mils, "Tom"): "deg"},
    )

    assert list(
        Reading.objects.order_by("person__name").values_list("text", "unit", "value_deg")
    ) == [("1316", "mil6400", 74.025), ("074", "deg", 74.0)]


def test_a_sheet_whose_unit_was_mended_is_read_anew(desk, of_mils):
    name, pk = unit_of(of_mils, "Mia"), of_mils.people.get(name="Mia").pk
    type_in(desk, of_mils, {("Mia", "1"): "131"}, take="yes", **{name: "deg"})
    shown = json.dumps({f"cell-{pk}-1": "131", name: "deg"})
    desk.post(
        f"/classes/{of_mils.pk}/paper/",
        {"hand": "1", "names": "", f"cell-{pk}-1": "131", name: "mil6400", "shown": shown}
        | {"take": "yes"},
    )

    assert list(Reading.objects.order_by("attempt").values_list("attempt", "unit")) == [
        (1, "deg"),
        (2, "mil6400"),
    ]
    assert PaperEntry.objects.get().unit == "mil6400"


def test_a_page_that_left_the_unit_alone_does_not_turn_back_what_another_changed(desk, of_mils):
    name, pk = unit_of(of_mils, "Mia"), of_mils.people.get(name="Mia").pk
    type_in(desk, of_mils, {("Mia", "1"): "131"}, **{name: "mil6400"})
    shown = json.dumps({f"cell-{pk}-1": "131", name: "deg"})
    desk.post(
        f"/classes/{of_mils.pk}/paper/",
        {"hand": "1", "names": "", f"cell-{pk}-1": "131", name: "deg", "shown": shown},
    )

    assert PaperEntry.objects.get().unit == "mil6400"


def test_hands_that_agree_on_figures_but_not_on_the_unit_differ(desk, of_mils):
    name = unit_of(of_mils, "Mia")
    type_in(desk, of_mils, {("Mia", "1"): "131"}, **{name: "mil6400"})
    page = type_in(desk, of_mils, {("Mia", "1"): "131"}, hand="2", **{name: "deg"})

    assert "1 cell differs between the two hands." in page.content.decode()


def test_a_table_may_say_in_which_unit_an_answer_is(desk, of_mils):
    table = io.BytesIO(
        b"person,task,answer,unit\nMia,1,1316,mils\nTom,1,074,degrees\nAda,1,1316,\n"
    )
    table.name = "answers.csv"
    desk.post(f"/classes/{of_mils.pk}/paper/", {"hand": "1", "table": "yes", "file": table})

    assert list(
        PaperEntry.objects.order_by("person__name").values_list("person__name", "text", "unit")
    ) == [("Ada", "1316", "mil6400"), ("Mia", "1316", "mil6400"), ("Tom", "074", "deg")]


def test_a_table_with_a_unit_that_is_none_is_refused_with_its_line(desk, of_mils):
    table = io.BytesIO(b"person,task,answer,unit\nMia,1,1316,gon\n")
    table.name = "answers.csv"
    page = desk.post(
        f"/classes/{of_mils.pk}/paper/", {"hand": "1", "table": "yes", "file": table}, follow=True
    )

    assert "Line 2: “gon” is no unit of a compass." in page.content.decode()
    assert PaperEntry.objects.count() == 0


def test_a_class_of_degrees_is_asked_for_no_unit(desk, open_class):
    cast.join(open_class, "Mia")

    assert "data-unit" not in desk.get(f"/classes/{open_class.pk}/paper/").content.decode()


# --- prints, key, tables


def sheet_of(course_class):
    key = course_class.keys.get()
    return _sheet_words(course_class, key.counted(), key.points)


def test_the_sheet_of_a_class_of_mils_has_four_boxes(of_mils):
    of_mils.compasses.update(unit="mil6400")

    lines, heads = sheet_of(of_mils)

    assert lines[0].fields == (("mils magnetic", 4),)
    assert lines[0].asked.endswith("in mils magnetic.")
    assert "four digits: 0132" in heads.reminder


def test_the_sheet_of_a_class_of_both_has_a_place_for_each(of_mils):
    lines, _heads = sheet_of(of_mils)  # they joined with a compass of degrees

    assert lines[0].fields == (("mils magnetic", 4), ("°\u00a0magnetic", 3))
    assert lines[0].asked.endswith("in mils or degrees magnetic.")


def test_the_key_of_a_class_of_mils_is_in_mils(desk, of_mils):
    of_mils.compasses.update(unit="mil6400")
    one = asked(of_mils)

    page = desk.get(f"/classes/{of_mils.pk}/key/").content.decode()

    assert f"{mils(one.expected_deg)} mils magnetic ({round(one.expected_deg):03d}°)" in page
    assert f"{mils(one.expected_deg + 180)} mils reversed" in page


def test_results_are_taken_out_with_their_unit(desk, client, open_class, mia):
    post(client, open_class, cast.reading(mia, text="1316", unit="mil6400"))
    release_feedback(course_class=open_class, now=cast.LATER)

    answer = desk.get(f"/classes/{open_class.pk}/results.csv")

    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert (row["answer_as_given"], row["unit"], row["reading_deg"]) == ("1316", "mil6400", "74.03")


def test_the_class_says_with_which_compasses(desk, open_class, mia):
    assert "Compasses: 3 (20 mils)" in " ".join(
        desk.get(f"/classes/{open_class.pk}/").content.decode().split()
    )


def test_compasses_stand_as_one_counts(desk, open_class):
    for number in ("10", "2"):
        Compass.objects.create(course_class=open_class, number=number, graduation_deg=2)

    shown = desk.get(f"/classes/{open_class.pk}/").context["compasses"]

    assert [one.split()[0] for one in shown.split(", ")] == ["2", "10"]


def test_what_a_class_is_shown_names_all_its_units(desk, client, open_class, mia):
    post(client, open_class, cast.reading(mia, text="1316", unit="mil6400"))
    close_class(course_class=open_class, now=cast.LATER)
    one = asked(open_class)

    page = desk.get(f"/classes/{open_class.pk}/debrief/alone/").content.decode()

    assert f"{round(one.expected_deg):03d}° magnetic ({mils(one.expected_deg)} mils)" in page
    assert "in degrees or mils magnetic" in page


# --- lengths


def test_a_desk_tells_lengths_in_feet_once_that_was_chosen(desk, open_class):
    line = asked(open_class)
    key = f"/classes/{open_class.pk}/key/"
    assert f"{line.distance_m:.0f} m" in desk.get(key).content.decode()

    answer = desk.post("/lengths/", {"lengths": "ft", "next": key})

    assert answer.url == key
    page = desk.get(key).content.decode()
    assert f"{line.distance_m / 0.3048:.0f} ft" in page
    assert f"{line.distance_m:.0f} m" not in page


def test_the_lines_of_a_station_and_its_map_are_told_in_feet_too(desk, open_class):
    desk.post("/lengths/", {"lengths": "ft", "next": "/sites/"})

    shown = desk.get(f"/sites/{open_class.course.site_id}/points/A/lines/").context

    # 300 m at 070 true, from a metre north of there: 299.66 m; a foot is 0.3048 m (NIST SP 811)
    assert shown["rows"][2]["line"].endswith(" magnetic, 983 ft")
    assert shown["map"]["lengths"] == {"sign": "ft", "worth_m": 0.3048}


@pytest.mark.parametrize(
    ("chosen", "back"), [("pace", "https://elsewhere.example/"), ("", "//elsewhere.example/x")]
)
def test_choosing_lengths_leads_nowhere_else_and_takes_nothing_else(desk, chosen, back):
    answer = desk.post("/lengths/", {"lengths": chosen, "next": back})

    assert answer.url == "/sites/"
    assert "desk_lengths" not in answer.cookies


@pytest.mark.parametrize("back", ["a b", "NaN", "2026-02-30T10:00", "sites/", "'", "0"])
def test_what_is_no_address_is_not_looked_up_as_the_name_of_one(desk, back):
    """27 November 2026: such a text passed as one of ours, and ended the request."""
    assert desk.post("/lengths/", {"lengths": "ft", "next": back}).status_code == 302
