"""Who may see what: one table. A URL that is missing from it fails the last test."""
import pytest
from django.urls import get_resolver, reverse

from tests import cast

IN, OUT, NOT_THERE = 200, 302, 404
# name, arguments, method: status for Ines (owner), Karl (another instructor), nobody signed in
TABLE = [
    ("home", {}, "get", IN, IN, IN), ("sign_in", {}, "get", IN, IN, IN), ("sign_out", {}, "post", OUT, OUT, OUT),
    ("sites", {}, "get", IN, IN, OUT), ("site_new", {}, "get", IN, IN, OUT),
    ("site", {"pk"}, "get", IN, NOT_THERE, OUT), ("site_edit", {"pk"}, "get", IN, NOT_THERE, OUT), ("point_new", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("point_edit", {"pk", "point"}, "get", IN, NOT_THERE, OUT), ("point_delete", {"pk", "point"}, "post", OUT, NOT_THERE, OUT),
    ("course_new", {"pk"}, "get", IN, NOT_THERE, OUT), ("course", {"course"}, "get", IN, NOT_THERE, OUT),
    ("task_up", {"course", "number"}, "post", OUT, NOT_THERE, OUT), ("task_remove", {"course", "number"}, "post", OUT, NOT_THERE, OUT),
    ("course_policies", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("class_new", {"course"}, "post", IN, NOT_THERE, OUT), ("class", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_arrivals", {"class"}, "get", IN, NOT_THERE, OUT), ("class_open", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("class_close", {"class"}, "post", OUT, NOT_THERE, OUT), ("class_reopen", {"class"}, "post", OUT, NOT_THERE, OUT), ("class_release", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("person_band", {"class", "person"}, "post", OUT, NOT_THERE, OUT), ("class_key", {"class"}, "get", IN, NOT_THERE, OUT),
    ("debrief", {"class"}, "get", IN, NOT_THERE, OUT), ("results_csv", {"class"}, "get", IN, NOT_THERE, OUT), ("results_xlsx", {"class"}, "get", IN, NOT_THERE, OUT),
    ("debrief_alone", {"class"}, "get", IN, NOT_THERE, OUT), ("person_sheets", {"class"}, "get", IN, NOT_THERE, OUT), ("person_sheet", {"class", "person"}, "get", IN, NOT_THERE, OUT),
    ("key_correct", {"class"}, "get", 400, NOT_THERE, OUT), ("over_time", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("experience", {}, "get", IN, IN, OUT), ("experience_forget", {}, "post", OUT, OUT, OUT), ("experience_remember", {}, "post", OUT, OUT, OUT), ("counts_csv", {}, "get", IN, IN, OUT),
    ("hand_in", {}, "get", IN, IN, OUT), ("set_language", {}, "post", OUT, OUT, OUT), ("practice", {}, "get", IN, IN, IN), ("bare_page", {}, "get", IN, IN, IN),
    ("style", {"version"}, "get", IN, IN, IN), ("script", {"name", "version"}, "get", IN, IN, IN), ("worker", {}, "get", IN, IN, IN), ("manifest", {}, "get", IN, IN, IN), ("trust", {}, "get", IN, IN, IN), ("authority", {}, "get", NOT_THERE, NOT_THERE, NOT_THERE),
    # The phone's pages know people by their cookie: without one, an account opens nothing.
    ("station", {"code"}, "get", OUT, OUT, OUT), ("mine", {"code"}, "get", OUT, OUT, OUT), ("compass", {"code"}, "get", OUT, OUT, OUT), ("join", {"code"}, "get", IN, IN, IN), ("other_phone", {"code"}, "get", IN, IN, IN), ("state", {"code"}, "get", 403, 403, 403), ("readings", {"code"}, "post", 403, 403, 403),
]


def arguments(wanted, course_class, person):
    site = course_class.course.site
    known = {"pk": site.pk, "point": "T2", "course": course_class.course_id, "number": 1, "class": course_class.pk, "person": person.pk, "code": course_class.code, "version": "any", "name": "class"}
    return {{"point": "code", "course": "pk", "class": "pk"}.get(name, name): known[name] for name in wanted}


@pytest.mark.parametrize("who", ["ines", "karl", "nobody"])
@pytest.mark.parametrize(("name", "wanted", "method", "ines_sees", "karl_sees", "nobody_sees"), TABLE, ids=[row[0] for row in TABLE])
def test_who_sees_what(client, open_class, mia, ines, karl, who, name, wanted, method, ines_sees, karl_sees, nobody_sees):
    if who != "nobody":
        client.force_login({"ines": ines, "karl": karl}[who])
    address = reverse(name, kwargs=arguments(wanted, open_class, mia))

    answer = getattr(client, method)(address)

    assert answer.status_code == {"ines": ines_sees, "karl": karl_sees, "nobody": nobody_sees}[who]
    if who == "nobody" and answer.status_code == OUT and name not in ("sign_out", "set_language", "station", "mine", "compass"):
        assert answer.url.startswith("/sign-in/")


@pytest.mark.parametrize("row", [row for row in TABLE if row[0] not in ("home", "sign_in", "site_new", "site_edit", "point_new", "point_edit", "course_new", "course", "join", "other_phone", "set_language", "hand_in", "key_correct", "compass")], ids=lambda row: row[0])
def test_the_wrong_method_is_refused(desk, open_class, mia, row):
    name, wanted, method = row[:3]

    assert getattr(desk, "get" if method == "post" else "post")(reverse(name, kwargs=arguments(wanted, open_class, mia))).status_code == 405


def test_every_address_is_in_the_table():
    names = {pattern.name for entry in get_resolver().url_patterns for pattern in entry.url_patterns}

    assert names == {row[0] for row in TABLE}


def test_another_persons_secret_does_not_speak_for_mia(client, open_class, mia):
    tom = cast.join(open_class, "Tom")
    cast.speaks_for(client, open_class, tom)

    answer = client.post(f"/c/{open_class.code}/readings/", {"readings": [cast.reading(mia)]}, content_type="application/json")

    assert answer.json()["readings"][0]["status"] == "refused"
