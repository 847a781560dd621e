"""An account goes: what goes with it, what passes on, what stays of others."""

import io

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command

from exercises.models import (
    AccountSession,
    CourseClass,
    Key,
    Kit,
    Member,
    Organisation,
    Person,
    Point,
    Reading,
    Site,
    Staff,
    TrailEntry,
)
from exercises.usecases import arrange, leave, organise
from tests import cast, handed, kits

PASSWORD = "peg at the gate"


def closed(course_class):
    CourseClass.objects.filter(pk=course_class.pk).update(state="closed", closed_at=cast.LATER)
    course_class.refresh_from_db()
    return course_class


def helps(course_class, user, role="co_instructor"):
    Staff.objects.create(
        course_class=course_class, role=role, user=user, name=user.username, since=cast.NOW
    )


def shared(owner, *others, row):
    organisation = organise.found(name="Three schools", by=owner, now=cast.NOW)
    for other in others:
        organise.join(organisation=organisation, user=other, now=cast.LATER)
    type(row).objects.filter(pk=row.pk).update(organisation=organisation)
    return organisation


def delete(account):
    return leave.delete_account(account=account, now=cast.LATER)


def test_all_that_is_nobody_elses_goes_for_good(ines):
    handed.full_class(ines)

    leaving = delete(ines)

    assert (leaving.people, leaving.readings, leaving.passed) == (4, 9, [])
    assert [
        model.objects.count() for model in (Site, Point, CourseClass, Person, Reading, Kit, Key)
    ] == [0] * 7
    assert not get_user_model().objects.exists()


def test_what_is_said_first_is_what_happens_then(ines, karl):
    course_class = handed.full_class(ines)
    helps(course_class, karl)
    cast.site_of(ines, "Another ground")

    before = leave.what_becomes(ines)
    after = delete(ines)

    assert before == after
    assert sorted((one.kind, one.to.username) for one in before.passed) == [
        ("class", "karl"),
        ("kit", "karl"),
        ("site", "karl"),
    ]
    assert [site.name for site in before.sites] == ["Another ground"]


def test_a_class_with_a_co_instructor_is_theirs_with_all_it_stands_on(ines, karl):
    course_class = handed.full_class(ines)
    helps(course_class, karl)
    readings = Reading.objects.count()

    delete(ines)

    course_class.refresh_from_db()
    assert course_class.owner == course_class.course.site.owner == course_class.kit.owner == karl
    assert course_class.keys.get().frozen_by == karl
    assert (Reading.objects.count(), course_class.issues.count()) == (readings, 2)
    assert not course_class.staff.exists()
    assert course_class.trail.first().verb == "passed_on"


@pytest.mark.parametrize("role", ["helper", "observer"])
def test_a_class_does_not_pass_on_to_who_only_helped(ines, karl, role):
    helps(closed(cast.class_of(ines)), karl, role)

    delete(ines)

    assert not CourseClass.objects.exists()


def test_the_name_of_who_left_stands_nowhere_in_what_stays(ines, karl):
    zebulon = cast.instructor("zebulon-the-first")
    course_class = handed.full_class(zebulon)
    helps(course_class, karl)

    delete(zebulon)

    assert TrailEntry.objects.exists()
    named = [
        f"{model.__name__}.{field}"
        for model, field, _ in (*leave.NAMED, (TrailEntry, "by_name", ""))
        if model.objects.filter(**{field: "zebulon-the-first"}).exists()
    ]
    assert named == []


def test_a_shared_site_passes_on_to_who_leads_and_the_others_classes_stay(ines, karl):
    olga = cast.instructor("olga")
    site = cast.site_of(ines)
    organisation = shared(ines, olga, karl, row=site)
    organise.let_lead(organisation=organisation, user=karl)
    theirs = cast.class_of(olga, course=cast.course_of(site))

    delete(ines)

    site.refresh_from_db()
    assert (site.owner, site.organisation) == (karl, organisation)
    assert CourseClass.objects.get() == theirs


def test_a_site_that_is_no_longer_shared_passes_on_to_whose_class_stands_on_it(ines, karl):
    site = cast.site_of(ines)
    with cast.unheld():  # as it is when sharing ends
        cast.class_of(karl, course=cast.course_of(site))

    delete(ines)

    site.refresh_from_db()
    assert site.owner == karl


def test_a_site_of_a_name_that_its_heir_has_gets_another(ines, karl):
    site = cast.site_of(ines)
    shared(ines, karl, row=site)
    cast.site_of(karl)

    delete(ines)

    assert sorted(karl.sites.values_list("name", flat=True)) == ["Test ground", "Test ground 2"]


def test_a_shared_kit_passes_on(ines, karl):
    kit = kits.kit_of(ines, "7")
    shared(ines, karl, row=kit)

    delete(ines)

    kit.refresh_from_db()
    assert kit.owner == karl


def test_somebody_leads_an_organisation_that_was_left(ines, karl):
    organisation = shared(ines, karl, row=cast.site_of(ines))

    delete(ines)

    assert list(Member.objects.values_list("organisation", "user", "leads")) == [
        (organisation.pk, karl.pk, True)
    ]


def test_an_organisation_of_nobody_else_ends(ines):
    organise.found(name="Alone", by=ines, now=cast.NOW)

    assert [one.name for one in delete(ines).ending] == ["Alone"]
    assert not Organisation.objects.exists()


def test_what_lies_in_the_bin_goes_too_but_for_what_others_stand_on(ines, karl):
    course_class = closed(cast.class_of(ines))
    helps(course_class, karl)
    arrange.remove(row=course_class, now=cast.NOW)

    delete(ines)

    assert not CourseClass.objects.exists()
    assert not Site.objects.exists()


def test_a_key_that_a_co_instructor_froze_stays_with_the_class(ines, karl):
    course_class = cast.class_of(ines)
    with cast.unheld():
        Key.objects.update(frozen_by=karl)
    helps(course_class, karl)

    delete(karl)

    assert course_class.keys.get().frozen_by == ines
    assert not course_class.staff.exists()


def test_nothing_goes_while_a_class_is_open(ines, open_class):
    with pytest.raises(leave.CannotLeave, match="“Saturday” is open"):
        delete(ines)

    assert CourseClass.objects.get() == open_class


# --- on the page and by command


@pytest.fixture
def signed_in(client, db):
    account = cast.instructor("ines", PASSWORD)
    client.force_login(account)
    return account


def text(answer):
    return " ".join(answer.content.decode().split())


def test_the_page_says_first_what_goes_and_what_passes_on(client, signed_in, karl):
    helps(handed.full_class(signed_in), karl)
    cast.site_of(signed_in, "Another ground")

    page = text(client.get("/account/delete/"))

    assert "<li>1 site</li>" in page
    assert "<li>Class “Saturday” passes on to karl.</li>" in page
    assert "<li>Site “Test ground” passes on to karl.</li>" in page
    assert "for up to 63 days more" in page
    assert get_user_model().objects.filter(username="ines").exists()


def test_without_the_password_nothing_is_deleted(client, signed_in):
    page = text(client.post("/account/delete/", {"password": "another one"}))

    assert "That is not the password." in page
    assert get_user_model().objects.filter(username="ines").exists()


def test_with_the_password_the_account_goes_and_is_signed_out(client, signed_in):
    answer = client.post("/account/delete/", {"password": PASSWORD}, follow=True)

    assert "The account is deleted." in text(answer)
    assert not get_user_model().objects.filter(username="ines").exists()
    assert not AccountSession.objects.exclude(user=None).exists()
    assert client.get("/sites/").status_code == 302


def test_the_page_offers_nothing_while_a_class_is_open(client, signed_in):
    cast.class_of(signed_in)

    page = text(client.get("/account/delete/"))
    assert "“Saturday” is open. Close it first." in page
    assert 'name="password"' not in page

    said = text(client.post("/account/delete/", {"password": PASSWORD}))
    assert "Close it first, then delete the account." in said
    assert get_user_model().objects.filter(username="ines").exists()


def test_by_command_it_is_said_asked_and_done(ines, monkeypatch):
    closed(cast.class_of(ines))
    said = io.StringIO()
    monkeypatch.setattr("builtins.input", lambda _: "inse")
    with pytest.raises(CommandError, match="Nothing was deleted"):
        call_command("delete_account", "ines", stdout=said)
    assert CourseClass.objects.exists()

    monkeypatch.setattr("builtins.input", lambda _: "ines")
    call_command("delete_account", "ines", stdout=said)

    assert "1 sites, 1 classes, 0 people" in said.getvalue()
    assert not get_user_model().objects.exists()


def test_the_command_refuses_who_is_not_there_or_has_a_class_open(open_class):
    with pytest.raises(CommandError, match="No account is called nobody"):
        call_command("delete_account", "nobody", yes=True)
    with pytest.raises(CommandError, match="is open"):
        call_command("delete_account", "ines", yes=True, stdout=io.StringIO())
