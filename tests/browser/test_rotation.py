"""A rotation on a desk and two phones: started, changed, skipped, taken up again; and without a
signal.
"""

import datetime

import pytest
from django.utils import timezone

from exercises.models import CourseClass, Rotation, RotationMark
from exercises.usecases import give_roles
from exercises.usecases.trail import Account
from tests import cast, demonstration, rotated

from .conftest import LAPTOP, PHONE, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def held(live_server):
    """A class on two stations with Mia in g1 and Tom in g2; its rotation is kept."""
    owner = demonstration.load().owner
    demo = CourseClass.objects.get(name="Thursday beginners")
    course = cast.course_of(cast.site_of(owner, "Two stations"))
    made = cast.class_of(owner, course=course)
    made.date = demo.date
    made.save()
    made.joined = rotated.grouped(made)
    made.row = rotated.kept(made, timezone.now())
    return made


def phone_of(page_of, live_server, held, name):
    page = page_of(PHONE)
    person, secret = held.joined[name]
    page.context.add_cookies(
        [
            {
                "name": f"navclass_{held.pk}",
                "value": f"{person.pk}:{secret}",
                "url": live_server.url,
            }
        ]
    )
    page.add_init_script("window.buzzed = []; navigator.vibrate = (ms) => buzzed.push(ms);")
    page.goto(f"{live_server.url}/c/{held.code}/")
    expect(page.locator("[data-stations] button").first).to_be_visible()
    page.get_by_role("button", name="I have read this").click()
    return page


def hear(phone):
    """Let a phone ask what is new, as it does every quarter of a minute."""
    phone.evaluate("window.dispatchEvent(new Event('online'))")


def ago(minutes):
    return timezone.now() - datetime.timedelta(minutes=minutes)


def test_a_rotation_is_started_changed_skipped_and_taken_up_again(page_of, live_server, held):
    desk = page_of(LAPTOP)
    mia, tom = (phone_of(page_of, live_server, held, name) for name in ("Mia", "Tom"))
    expect(mia.locator("[data-turn]")).to_be_hidden()
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/classes/{held.pk}/rotation/")
    desk.get_by_role("button", name="We start now").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Round 1 of 2")
    for phone, station in ((mia, "B"), (tom, "A")):
        hear(phone)
        expect(phone.locator("[data-turn]")).to_contain_text(f"Next: station {station},")

    # early, so that it is asked once more
    desk.get_by_role("button", name="Everybody change").click()
    desk.get_by_role("button", name="tap again").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Walking to round 2 of 2")
    for phone, station in ((mia, "B"), (tom, "A")):
        hear(phone)
        expect(phone.get_by_role("alert").first).to_have_text(
            f"Everybody change: go to station {station}"
        )
        assert phone.evaluate("buzzed.length") == 1
    mia.locator("[data-stations] button").filter(has_text="B").first.click()
    expect(mia.locator("[data-changed]")).to_be_hidden()

    desk.get_by_role("listitem").filter(has_text="g2").locator("summary").click()
    desk.get_by_label("Station").locator("visible=true").select_option("B")
    desk.get_by_role("button", name="skips it").locator("visible=true").click()
    expect(desk.locator("[data-group=g2] [data-skipped]")).to_have_text("skipped B")
    desk.get_by_role("link", name="Take up who skipped").click()
    expect(desk.get_by_role("row").filter(has_text="g2")).to_contain_text("through")
    desk.get_by_role("button", name="Go on with the new plan").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("round 2 of 3")
    hear(tom)
    expect(tom.locator("[data-changed]")).to_be_hidden()
    hear(mia)
    expect(mia.locator("[data-turn]")).to_contain_text("Next: station B,")
    assert [row.version for row in Rotation.objects.all()] == [2, 1]


def test_a_helper_goes_on_without_a_signal(page_of, live_server, held):
    Rotation.objects.filter(pk=held.row.pk).update(starts_at=ago(3.5), started_at=ago(3.5))
    given = give_roles.invite(
        course_class=held,
        role="helper",
        sees_answers=False,
        days=1,
        by=Account(held.owner),
        now=timezone.now(),
    )
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/helping/{given.code}/")
    phone.get_by_label("Your name").fill("Pim")
    phone.get_by_role("button", name="Help with this phone").click()
    phone.goto(f"{live_server.url}/classes/{held.pk}/rotation/live/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Round 1 of 2")
    phone.wait_for_load_state("networkidle")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="2 minutes more").click()
    expect(phone.get_by_text("1 tap not sent yet")).to_be_visible()
    expect(phone.locator("[data-turn-left]")).to_contain_text("2:")
    kept = RotationMark.objects.count()
    phone.context.set_offline(False)

    expect(phone.get_by_text("1 tap not sent yet")).to_have_count(0)
    assert (kept, [(one.what, one.by) for one in RotationMark.objects.all()]) == (
        0,
        [("more", "Pim")],
    )


def test_the_clock_is_read_from_three_metres(page_of, live_server, held):
    Rotation.objects.filter(pk=held.row.pk).update(starts_at=ago(1), started_at=ago(1))
    for viewport, least_px in ((PHONE, 80), (LAPTOP, 280)):
        page = page_of(viewport)
        sign_in(page, live_server.url)
        page.goto(f"{live_server.url}/classes/{held.pk}/rotation/clock/")
        expect(page.locator("[data-turn-left]")).to_contain_text("2:")
        points = page.locator("[data-turn-left]").evaluate(
            "(element) => parseFloat(getComputedStyle(element).fontSize)"
        )
        wide = page.evaluate("document.documentElement.scrollWidth <= innerWidth")

        # figures are 0.7 of the size; on a phone of 65 mm for 360 px that is 15 mm, three metres
        # being two hundred times it, as for codes on cards
        assert (0.7 * points >= least_px, wide) == (True, True)
