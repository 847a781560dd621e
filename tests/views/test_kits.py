"""Kits at the desk: the set by number, its log, a check that is written down, who may see it."""

import re

import pytest

from exercises.domain.running.kit import Event
from exercises.models import Kit, KitCompass, KitEntry
from exercises.usecases import organise
from tests import cast, kits


def text(answer):
    return " ".join(answer.content.decode().split())


@pytest.fixture
def kit(ines):
    return kits.kit_of(ines, "1", "2", "10")


def test_a_kit_is_made_and_filled_with_a_range(desk):
    made = desk.post("/kits/", {"name": "Blue box"})
    kit = Kit.objects.get()

    desk.post(
        made.url,
        {"numbers": "1-4, 9", "kind": "baseplate", "dial": "mil6400:20", "bought": "2024"},
    )

    assert (made.url, kit.name, kit.owner.username) == (f"/kits/{kit.pk}/", "Blue box", "ines")
    assert list(
        kit.compasses.values_list("number", "kind", "unit", "graduation_deg", "bought")
    ) == [(number, "baseplate", "mil6400", 1.125, "2024") for number in ("1", "2", "3", "4", "9")]


def test_numbers_that_are_there_stay_as_they_are(desk, kit):
    kit.compasses.filter(number="2").update(notes="scratched")

    answer = desk.post(f"/kits/{kit.pk}/", {"numbers": "1-3", "dial": "5"}, follow=True)

    assert "1 new compass. 2 were there already." in text(answer)
    assert sorted(kit.compasses.values_list("number", "notes", "graduation_deg")) == [
        ("1", "", 2.0),
        ("10", "", 2.0),
        ("2", "scratched", 2.0),
        ("3", "", 5.0),
    ]


def test_a_wrong_range_is_said_and_stays_typed(desk, kit):
    page = text(desk.post(f"/kits/{kit.pk}/", {"numbers": "9-1", "dial": "2"}))

    assert "“9-1”: a range goes up" in page
    assert 'value="9-1"' in page
    assert kit.compasses.count() == 3


def rows(page):
    """The cells of the kit's table, as texts."""
    table = re.search(r"<tbody>(.*)</tbody>", page).group(1)
    return [
        [" ".join(re.sub(r"<[^>]*>", " ", cell).split()) for cell in line.split("<td")]
        for line in table.split("<tr>")[1:]
    ]


def test_the_set_stands_there_by_number_with_how_each_is(desk, kit, open_class):
    kits.write(kit, "2", Event.OFF, offset_deg=4.0, error_deg=0.5)
    kits.write(kit, "10", Event.WITHDRAWN)
    ((mia, _),) = cast.join(kits.takes(open_class, kit), "Mia")
    kits.give(open_class, "1", person=mia)

    page = text(desk.get(f"/kits/{kit.pk}/"))

    assert [[row[0], row[1].split("> ")[1], row[2].split("> ")[1]] for row in rows(page)] == [
        ["1", "never checked", "with Mia, Saturday"],
        ["2", "+4.0° off", "in the box"],
        ["10", "withdrawn", "in the box"],
    ]
    assert "1 is usable. To mend or withdraw: 2. Withdrawn: 10. Never checked: 1." in page


@pytest.mark.parametrize("number", [3, 30])
def test_a_kit_of_any_size_costs_as_many_queries(desk, ines, number, django_assert_num_queries):
    kit = kits.kit_of(ines, *map(str, range(number)))
    for row in kit.compasses.all():
        kits.write(kit, row.number, Event.CHECKED)

    with django_assert_num_queries(7):
        desk.get(f"/kits/{kit.pk}/")


def entered(desk, kit, event, number="1", token="a", **more):
    return desk.post(
        f"/kits/{kit.pk}/compasses/{number}/log/", {"event": event, "token": token, **more}
    )


def test_an_entry_is_written_once_however_often_it_is_sent(desk, kit):
    for _ in range(2):
        entered(desk, kit, "off", offset_deg="-3,5", words="at the gate")

    entry = KitEntry.objects.get()
    assert (entry.event, entry.offset_deg, entry.words, entry.by_name) == (
        "off",
        -3.5,
        "at the gate",
        "ines",
    )
    assert "it is off, −3.5°" in text(desk.get(f"/kits/{kit.pk}/compasses/1/"))


def test_withdrawn_and_back_again(desk, kit):
    entered(desk, kit, "withdrawn", token="a")
    entered(desk, kit, "withdrawn", token="b")
    was_withdrawn = kit.compasses.get(number="1").withdrawn_at is not None
    entered(desk, kit, "back", token="c")

    assert was_withdrawn
    assert kit.compasses.get(number="1").withdrawn_at is None
    assert list(KitEntry.objects.values_list("event", flat=True)) == ["withdrawn", "back"]


def test_an_entry_that_cannot_be_read_comes_back_as_it_was_typed(desk, kit):
    answer = entered(desk, kit, "off", offset_deg="two", words="by the pond")

    assert answer.status_code == 400
    assert "by the pond" in text(answer)
    assert not KitEntry.objects.exists()


def test_a_compass_is_put_right(desk, kit):
    desk.post(
        f"/kits/{kit.pk}/compasses/1/",
        {"kind": "mirror", "dial": "1", "is_adjustable": "on", "bought": "2025-03", "notes": "new"},
    )

    row = KitCompass.objects.get(number="1")
    assert (row.kind, row.graduation_deg, row.is_adjustable, row.bought, row.notes) == (
        "mirror",
        1.0,
        True,
        "2025-03",
        "new",
    )


def test_a_number_put_in_by_mistake_goes_and_one_with_a_history_stays(desk, kit):
    kits.write(kit, "2", Event.CHECKED)
    for number in ("1", "2"):
        answer = desk.post(f"/kits/{kit.pk}/compasses/{number}/remove/", follow=True)

    assert "Compass 2 has a history" in text(answer)
    assert sorted(kit.compasses.values_list("number", flat=True)) == ["10", "2"]


def test_an_empty_kit_can_be_removed_and_a_full_one_not(desk, ines, kit):
    empty = kits.kit_of(ines, name="Made by mistake")
    for one in (empty, kit):
        desk.post(f"/kits/{one.pk}/settings/", {"remove": ""})

    assert list(Kit.objects.all()) == [kit]


def checked(desk, address, readings="1 40\n2 41\n3 40\n10 49\n9 220", **more):
    return desk.post(
        address, {"readings": readings, "step_deg": "2", "line": "", "token": "t", **more}
    )


def test_a_check_is_written_into_the_log_when_that_is_pressed(desk, kit):
    address = f"/kits/{kit.pk}/check/"
    page = text(checked(desk, address))
    nothing = KitEntry.objects.count()
    for _ in range(2):
        answer = checked(desk, address, write="only")

    assert "Write into the log, and withdraw the odd ones" in page
    assert (nothing, answer.url) == (0, address)
    assert sorted(KitEntry.objects.values_list("compass__number", "event")) == [
        ("1", "checked"),
        ("10", "off"),
        ("2", "checked"),
    ]  # 3 and 9 are not in the kit
    off = KitEntry.objects.get(event="off")
    assert off.offset_deg == pytest.approx(8.2, abs=0.8)
    assert 0.5 < off.error_deg < 2.0


def test_the_odd_ones_of_a_check_are_withdrawn_when_that_is_pressed(desk, kit):
    checked(desk, f"/kits/{kit.pk}/check/", write="withdraw")

    assert list(kit.compasses.exclude(withdrawn_at=None).values_list("number", flat=True)) == ["10"]


def test_the_numbers_of_the_kit_stand_there_without_the_withdrawn(desk, kit):
    kits.write(kit, "2", Event.WITHDRAWN)

    page = desk.get(f"/kits/{kit.pk}/check/").content.decode()

    assert "1 \n10 </textarea>" in page


def test_each_is_looked_over(desk, kit):
    two = kit.compasses.get(number="2")
    for _ in range(2):
        desk.post(
            f"/kits/{kit.pk}/check/",
            {"look": "yes", f"look{two.pk}": "bubble", "rest": "on", "token": "t"},
        )

    assert sorted(KitEntry.objects.values_list("compass__number", "event")) == [
        ("1", "looked"),
        ("10", "looked"),
        ("2", "bubble"),
    ]


def test_a_line_of_the_site_gives_the_bearing(desk, open_class, ines):
    kits.takes(open_class, kits.kit_of(ines, "1"))
    right = cast.answer_of(open_class, "1").expected_deg
    address = f"/classes/{open_class.pk}/compasses/"

    page = text(checked(desk, address, f"1 {round(right) + 8:03d}", along="A>T1"))

    assert "A → T1: " in text(desk.get(address))
    assert "1 compass to look at." in page


def test_a_line_and_a_bearing_at_once_are_refused(desk, open_class):
    page = text(checked(desk, f"/classes/{open_class.pk}/compasses/", along="A>T1", line="040"))

    assert "Choose a line of the site or give a bearing, not both." in page


def test_a_shared_kit_is_seen_and_kept_by_members_and_nobody_else(client, kit, karl, ines):
    organisation = organise.found(name="Three schools", by=ines, now=cast.NOW)
    client.force_login(karl)
    before = client.get(f"/kits/{kit.pk}/").status_code
    organise.join(organisation=organisation, user=karl, now=cast.NOW)
    Kit.objects.update(organisation=organisation)
    entered(client, kit, "checked")
    during = client.get(f"/kits/{kit.pk}/").status_code
    organise.join(organisation=organisation, user=ines, now=cast.NOW)
    organise.let_lead(organisation=organisation, user=karl)
    organise.leave(organisation=organisation, user=ines)

    assert (before, during, client.get(f"/kits/{kit.pk}/").status_code) == (404, 200, 404)
    assert KitEntry.objects.get().by_name == "karl"


def test_who_shares_a_kit_learns_no_name_of_a_class_that_is_not_theirs(
    client, kit, karl, ines, open_class
):
    organisation = organise.found(name="Three schools", by=ines, now=cast.NOW)
    organise.join(organisation=organisation, user=karl, now=cast.NOW)
    Kit.objects.update(organisation=organisation)
    ((mia, _),) = cast.join(kits.takes(open_class, kit), "Mia")
    kits.give(open_class, "1", person=mia)
    kits.write(kit, "1", Event.OFF, course_class=open_class)
    client.force_login(karl)

    for address in (f"/kits/{kit.pk}/", f"/kits/{kit.pk}/compasses/1/"):
        page = text(client.get(address))
        assert "out with a class of 3 Oct 2026" in page
        assert "Mia" not in page
        assert "Saturday" not in page


def test_only_an_organisation_of_ones_own_can_be_shared_with(desk, kit, karl):
    others = organise.found(name="Not ours", by=karl, now=cast.NOW)

    desk.post(f"/kits/{kit.pk}/settings/", {"name": "Red box", "organisation": others.pk})

    kit.refresh_from_db()
    assert kit.organisation is None
