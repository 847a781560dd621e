"""A class as it is run: a laptop, two helpers who have only a link, three participants' phones, in
one go.
"""

import re

import pytest
from django.utils import timezone

from exercises.models import FieldNote, HeadcountMark, SeenTo
from exercises.usecases import give_roles
from exercises.usecases.take_demo_out import take_demo_out
from exercises.usecases.trail import Account
from tests import cast, demonstration

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import open_first_task, type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


def helper_link(held):
    given = give_roles.invite(
        course_class=held,
        role="helper",
        sees_answers=False,
        days=60,
        by=Account(held.owner),
        now=cast.NOW,
    )
    given.expires_at = given.expires_at.replace(year=2999)
    given.save()
    return f"/helping/{given.code}/"


def help_with(page, address, name):
    page.goto(address)
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Help with this phone").click()
    expect(page.get_by_role("heading", name="Stations")).to_be_visible()


def join(page, address, code, name):
    page.goto(f"{address}/c/{code}/join/")
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Join", exact=True).click()
    page.get_by_role("button", name="I have read this").click()
    expect(page.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()


def count(page, address, held):
    page.goto(f"{address}/classes/{held.pk}/headcount/")
    page.get_by_role("button", name=re.compile("before")).click()
    page.wait_for_load_state("networkidle")


def tick(page, *names):
    for name in names:
        page.get_by_role("button", name=re.compile(f"^{name}")).click()


def rotate(page, address, held):
    page.goto(f"{address}/classes/{held.pk}/rotation/")
    page.get_by_label("Minutes there are").fill("120")
    page.get_by_label("People who can stand somewhere").fill("2")
    page.get_by_role("button", name="Reckon the rotation").click()
    page.get_by_role("button", name="Keep this rotation").click()
    page.get_by_role("button", name="We start now").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Round 1 of")


def test_a_class_is_run_by_three_and_taken_by_three(page_of, live_server):
    held, url = demonstration.load(), live_server.url
    site = held.course.site
    site.cautions = "Keep off the road."
    site.save()
    link = url + helper_link(held)
    desk, pim, quin = page_of(LAPTOP), page_of(PHONE), page_of(PHONE)
    phones = {name: page_of(PHONE) for name in ("Ana", "Bo", "Cy")}
    sign_in(desk, url)

    desk.goto(f"{url}/classes/{held.pk}/roster/")
    desk.get_by_label(re.compile("Names")).fill("Ana, Red\nBo, Red\nCy, Blue")
    desk.get_by_role("button", name="Put on the list").click()
    help_with(pim, link, "Pim")
    help_with(quin, link, "Quin")
    for name, phone in phones.items():
        join(phone, url, held.code, name)

    count(pim, url, held)
    count(quin, url, held)
    tick(pim, "Ana", "Bo")
    tick(quin, "Cy")
    for page in (pim, quin):
        expect(page.get_by_role("heading", level=1)).to_contain_text("Everybody is here")

    rotate(desk, url, held)
    for phone in phones.values():
        phone.evaluate("window.dispatchEvent(new Event('online'))")
        expect(phone.locator("[data-turn]")).to_contain_text("Next: station")

    desk.goto(f"{url}/classes/{held.pk}/live/")
    expect(desk.get_by_text(re.compile("^Round 1 of"))).to_be_visible()
    expect(desk.get_by_text("nobody yet").first).to_be_visible()
    for phone in phones.values():
        open_first_task(phone)
        type_bearing(phone, "322")
        phone.get_by_role("button", name="Send").click()
        expect(phone.locator("[data-status]")).to_have_text("All readings sent.")
    expect(desk.get_by_role("row", name=re.compile("^A Terrace steps"))).to_contain_text(
        "Ana, Bo, Cy", timeout=15_000
    )
    assert held.people.filter(cautions_read_at=None).count() == 0

    pim.goto(f"{url}/classes/{held.pk}/live/")
    pim.wait_for_load_state("networkidle")
    pim.context.set_offline(True)
    pim.get_by_label("What you saw").fill("The gate is shut")
    pim.get_by_role("button", name="Note", exact=True).click()
    expect(pim.get_by_text("1 thing not sent yet.")).to_be_visible()
    kept = FieldNote.objects.count()
    pim.context.set_offline(False)
    expect(desk.get_by_text("The gate is shut")).to_be_visible()

    desk.goto(f"{url}/classes/{held.pk}/closing/")
    desk.get_by_role("button", name="Close the class").click()
    expect(desk.get_by_text("closed").first).to_be_visible()
    desk.goto(f"{url}/classes/{held.pk}/debrief/")
    expect(desk.get_by_text("3 people sent 3 readings")).to_be_visible()
    assert (kept, FieldNote.objects.get().by, HeadcountMark.objects.count()) == (0, "Pim", 3)


def test_a_sign_is_seen_to_without_a_signal_and_sent_later(page_of, live_server):
    held = demonstration.load()
    take_demo_out(course_class=held, now=timezone.now())
    desk = page_of(PHONE)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/classes/{held.pk}/live/")
    desk.wait_for_load_state("networkidle")
    card = desk.locator("[data-sign='station:C:']")
    desk.context.set_offline(True)
    card.get_by_role("button", name="I have seen to it").click()
    expect(card.get_by_text("Seen to; not sent yet")).to_be_visible()
    expect(desk.get_by_text(re.compile("No signal since"))).to_be_visible()
    kept = SeenTo.objects.count()
    desk.context.set_offline(False)

    expect(card.get_by_role("button", name="Not yet after all")).to_be_visible()
    assert (kept, SeenTo.objects.count()) == (0, 1)
    assert desk.evaluate("() => document.documentElement.scrollWidth") == 360
