"""A class while it is held: cautions that are read, heads counted by two at once and without a
signal, a helper who has only a link.
"""

import re

import pytest

from exercises.models import CourseClass, HeadcountMark, Person
from exercises.usecases import count_heads, give_roles
from exercises.usecases.trail import Account
from tests import cast, demonstration, kits

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import join

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def held(live_server):
    owner = demonstration.load().owner
    made = CourseClass.objects.get(name="Thursday beginners")
    cast.join(made, "Ana", "Bo", "Cy")
    made.boss = Account(owner)
    return made


def counting(page, address, held, occasion="after"):
    page.goto(f"{address}/classes/{held.pk}/headcount/")
    page.get_by_role("button", name=re.compile(occasion)).click()
    page.wait_for_load_state("networkidle")  # the count's script is there and has asked once
    return page.get_by_role("heading", level=1)


def test_two_count_at_once_and_see_each_other(page_of, live_server, held):
    given = give_roles.invite(
        course_class=held, role="helper", sees_answers=False, days=60, by=held.boss, now=cast.NOW
    )
    given.expires_at = given.expires_at.replace(year=2999)
    given.save()
    desk, phone = page_of(LAPTOP), page_of(PHONE)
    sign_in(desk, live_server.url)
    phone.goto(f"{live_server.url}/helping/{given.code}/")
    phone.get_by_label("Your name").fill("Pim")
    phone.get_by_role("button", name="Help with this phone").click()
    top = counting(desk, live_server.url, held)
    theirs = counting(phone, live_server.url, held)

    desk.get_by_role("button", name=re.compile("^Ana")).click()
    phone.get_by_role("button", name=re.compile("^Bo")).click()

    for heading in (top, theirs):
        expect(heading).to_contain_text("1 missing")
    expect(desk.get_by_role("button", name=re.compile("^Bo"))).to_contain_text("Pim")


def test_ticks_without_a_signal_are_kept_and_sent_later(page_of, live_server, held):
    desk = page_of(PHONE)
    sign_in(desk, live_server.url)
    top = counting(desk, live_server.url, held)
    desk.context.set_offline(True)
    desk.get_by_role("button", name=re.compile("^Ana")).click()
    expect(desk.get_by_text("1 tick not sent yet")).to_be_visible()
    expect(top).to_contain_text("2 missing")
    kept = HeadcountMark.objects.count()
    desk.context.set_offline(False)

    expect(desk.get_by_text("1 tick not sent yet")).to_have_count(0)
    assert (kept, HeadcountMark.objects.count()) == (0, 1)


def test_cautions_are_read_once_and_then_fold(page_of, live_server, held):
    phone = page_of(PHONE)
    join(phone, live_server.url, held.code)
    phone.get_by_role("button", name="I have read this").click()
    expect(phone.locator("[data-before]")).not_to_have_attribute("open", "")
    phone.reload()

    expect(phone.get_by_role("button", name="I have read this")).to_be_hidden()
    assert Person.objects.filter(cautions_read_at__isnull=False).count() == 1


def test_a_count_is_asked_for_before_a_class_closes(page_of, live_server, held):
    count_heads.begin(course_class=held, occasion="after", by=held.boss, now=cast.NOW)
    desk = page_of(LAPTOP)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/classes/{held.pk}/")
    desk.get_by_role("link", name="Close the class").click()

    expect(desk.get_by_text("3 missing")).to_be_visible()
    expect(desk.get_by_role("link", name="Go on counting")).to_be_visible()


def test_compasses_go_out_and_come_back_with_one_press_each(page_of, live_server, held):
    kits.takes(held, kits.kit_of(held.owner, "1", "2", "3"))
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    phone.goto(f"{live_server.url}/classes/{held.pk}/headcount/")
    phone.get_by_role("link", name="No compass is out").click()
    phone.locator("form", has_text="Ana").get_by_role("button", name="Give").click()
    phone.locator("form", has_text="Bo").get_by_role("button", name="Give").click()
    top = phone.get_by_role("heading", level=1)
    expect(top).to_have_text("2 compasses are out")
    out = kits.numbers_out(held)
    phone.get_by_role("button", name=re.compile("Ana")).click()

    expect(top).to_have_text("1 compass is out")
    assert out == [("1", "Ana"), ("2", "Bo")]
    assert kits.numbers_out(held) == [("2", "Bo")]
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
