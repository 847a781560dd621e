"""From practice at home to the class: told of once, by whom it concerns, and taken back."""

import pytest

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_lessons import lessons_of, right_of

ASKED = "You finished 1 lesson at home. Tell your instructor?"
TOLD = "Mia: your instructor knows of 1 lesson done at home."


def practise(phone, address):
    """Go through the first lesson, all right at once."""
    phone.goto(f"{address}/practice/#hold")
    phone.get_by_role("button", name="Begin").click()
    for told in lessons_of(phone)["hold"]["sets"][0]:
        choices = phone.locator("[data-round-choices] button")
        expect(choices).to_have_count(len(told["choices"]))
        choices.nth(right_of(told)).click()
        phone.get_by_role("button", name="Next").click()
    expect(phone.get_by_role("heading", name="Done: Hold it, and face")).to_be_visible()


def join(phone, field, names):
    phone.goto(f"{field.address}/c/{field.code}/join/")
    phone.get_by_label("Name").first.fill(names)
    phone.get_by_role("button", name="Join").click()
    expect(phone.locator("[data-class-name]")).to_be_visible()


def known(field):
    """What the server was told by those who joined, by name."""
    return dict(
        field.rows(
            "SELECT p.name, p.home_lessons FROM exercises_person p JOIN exercises_courseclass c "
            "ON c.id = p.course_class_id WHERE c.code = ? AND p.group_id IS NULL",
            field.code,
        )
    )


@pytest.fixture
def phone(page_of, field):
    page = page_of(PHONE)
    practise(page, field.address)
    return page


def test_practice_is_told_and_taken_back(phone, field, page_of):
    join(phone, field, "Mia")
    expect(phone.get_by_text(ASKED)).to_be_visible()
    assert known(field) == {"Mia": ""}

    phone.get_by_role("button", name="Tell", exact=True).click()
    expect(phone.get_by_text(TOLD)).to_be_visible()
    desk = page_of(LAPTOP)
    sign_in(desk, field.address)
    desk.get_by_role("link", name="Thursday beginners").first.click()
    expect(desk.get_by_role("row", name="Mia 1 lesson at home")).to_be_visible()

    phone.reload()
    phone.get_by_role("button", name="Take it back: Mia").click()
    expect(phone.get_by_text("Taken back. Your instructor knows of no lesson.")).to_be_visible()
    assert known(field) == {"Mia": ""}
    phone.reload()
    expect(phone.get_by_role("button", name="Tell which lessons I did at home")).to_be_visible()
    expect(phone.get_by_text(ASKED)).to_be_hidden()


def test_who_puts_it_off_is_not_asked_again_and_may_tell_later(phone, field):
    join(phone, field, "Mia")
    phone.get_by_role("button", name="Not now").click()
    expect(phone.get_by_text(ASKED)).to_be_hidden()
    phone.reload()
    later = phone.get_by_role("button", name="Tell which lessons I did at home")
    expect(later).to_be_visible()
    expect(phone.get_by_text(ASKED)).to_be_hidden()

    later.click()
    phone.get_by_role("button", name="Tell", exact=True).click()

    expect(phone.get_by_text(TOLD)).to_be_visible()
    assert known(field) == {"Mia": "hold"}


def test_on_a_shared_phone_only_the_one_who_taps_is_told_of(phone, field):
    join(phone, field, "Mia, Tom")
    expect(phone.get_by_text("Whose was it?")).to_be_visible()

    phone.get_by_role("button", name="Tom", exact=True).click()

    expect(
        phone.get_by_text("Tom: your instructor knows of 1 lesson done at home.")
    ).to_be_visible()
    assert known(field) == {"Mia": "", "Tom": "hold"}


def test_two_on_one_phone_both_tell_and_one_takes_it_back(phone, field):
    """2026-11-27: the second had to wait until the first took it back."""
    join(phone, field, "Mia, Tom")
    phone.get_by_role("button", name="Tom", exact=True).click()
    phone.get_by_role("button", name="Tell for Mia too").click()
    expect(phone.get_by_text(TOLD)).to_be_visible()
    assert known(field) == {"Mia": "hold", "Tom": "hold"}

    phone.get_by_text("Take it back: Tom", exact=True).click()

    expect(phone.get_by_role("button", name="Tell for Tom too")).to_be_visible()
    assert known(field) == {"Mia": "hold", "Tom": ""}


def test_what_is_told_without_signal_arrives_with_it(phone, field):
    join(phone, field, "Mia")
    expect(phone.get_by_text(ASKED)).to_be_visible()
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Tell", exact=True).click()
    expect(
        phone.get_by_text("Mia: 1 lesson done at home will be told when there is signal.")
    ).to_be_visible()
    assert known(field) == {"Mia": ""}

    phone.context.set_offline(False)

    expect(phone.get_by_text(TOLD)).to_be_visible()
    assert known(field) == {"Mia": "hold"}


def test_a_phone_without_practice_is_not_asked(page_of, field):
    phone = page_of(PHONE)
    join(phone, field, "Mia")

    expect(phone.locator("[data-stations] li").first).to_be_visible()
    expect(phone.locator("[data-at-home]")).to_be_hidden()
