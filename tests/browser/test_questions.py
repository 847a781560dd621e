"""A phone asks about a reading that could be several mistakes."""

import re

import pytest

from exercises.models import Reply
from tests import cast

from .conftest import PHONE, expect
from .test_journeys import type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def made(live_server):
    return cast.class_of(cast.instructor("ines"))


def join(page, address, made):
    page.goto(f"{address}/?code={made.code}")
    page.get_by_label("Your name").fill("Mia")
    page.get_by_label("Number on your compass").fill("7")
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("button", name=re.compile("the A thing"))).to_be_visible()


def answer_of(made, task):
    return next(one for one in made.keys.get().as_domain() if one.task == task)


def give(page, made, station, off_deg):
    """Send the bearing of the station's first task, off by some degrees."""
    page.get_by_role("button", name=re.compile(f"the {station} thing")).click()
    page.locator("[data-tasks] button").first.click()
    answer = answer_of(made, "1")
    type_bearing(page, f"{round(answer.expected_deg + off_deg) % 360:03d}")
    page.get_by_role("button", name="Send").click()


def with_two_readings(page, made):
    """Two plain readings of hers are in, since one in three may be asked about."""
    mia = made.people.get()
    cast.send(made, mia, ("2", "T3"), ("3", f"{round(answer_of(made, '3').expected_deg):03d}"))
    page.reload()


def test_a_reply_is_kept_without_the_network_and_sent_with_it(page_of, live_server, made):
    phone = page_of(PHONE)
    join(phone, live_server.url, made)
    with_two_readings(phone, made)
    give(phone, made, "A", 127)
    expect(phone.get_by_role("heading", name="Not yet")).to_be_focused()
    expect(phone.get_by_role("heading", name="Did you add anything")).to_be_visible()
    expect(phone.get_by_text("It changes no credit.")).to_be_visible()
    expect(phone.get_by_role("button", name="Next")).to_be_hidden()

    phone.context.set_offline(True)
    phone.get_by_role("button", name="Neither").click()
    expect(phone.get_by_role("heading", name="Did you add anything")).to_have_count(0)
    expect(phone.get_by_role("heading", name="Not yet")).to_be_visible()
    expect(phone.locator("[data-status]")).not_to_have_text("All readings sent.")
    assert not Reply.objects.exists()
    phone.context.set_offline(False)

    expect(phone.locator("[data-status]")).to_have_text("All readings sent.")
    assert [(reply.question, reply.said) for reply in Reply.objects.all()] == [
        ("arithmetic", "nothing")
    ]


def test_a_question_can_be_passed_over_and_is_not_asked_again(page_of, live_server, made):
    phone = page_of(PHONE)
    join(phone, live_server.url, made)
    with_two_readings(phone, made)
    give(phone, made, "A", 127)

    with phone.expect_response("**/readings/"):
        phone.get_by_role("button", name="Pass over").click()

    expect(phone.get_by_role("heading", name="Did you add anything")).to_have_count(0)
    expect(phone.get_by_role("heading", name="Not yet")).to_be_visible()
    phone.reload()
    expect(phone.get_by_role("heading", name="Did you add anything")).to_have_count(0)
    assert Reply.objects.get().said == ""
