"""How long a helper's phone helps: some weeks without use, and some in any case."""

from datetime import timedelta

import pytest
from django.test import Client

from exercises.domain.running import roles
from exercises.models import Staff
from exercises.usecases import give_roles
from exercises.usecases.trail import Account
from exercises.views import acting
from tests import cast

LIMITS = {"longest": timedelta(days=60), "idle": timedelta(days=30)}


@pytest.fixture
def helper(ines, open_class):
    """The token of Oona's phone."""
    invitation = give_roles.invite(
        course_class=open_class,
        role=roles.HELPER,
        sees_answers=False,
        days=60,
        by=Account(ines),
        now=cast.NOW,
    )
    staff, secret = give_roles.take_by_name(invitation=invitation, name="Oona", now=cast.NOW)
    return f"{staff.pk}:{secret}"


def helps(course_class, token, days):
    now = cast.NOW + timedelta(days=days)
    return bool(give_roles.staff_by_secret(course_class, token, now=now, **LIMITS))


@pytest.mark.parametrize(
    ("used_days", "last"),
    [
        pytest.param([29.9], True, id="thirty days less some hours without use"),
        pytest.param([30], False, id="thirty days without use"),
        pytest.param([20, 40, 59.9], True, id="old, but used"),
        pytest.param([20, 40, 60], False, id="sixty days old"),
    ],
)
def test_a_phone_helps_for_sixty_days_and_thirty_without_use(open_class, helper, used_days, last):
    assert [helps(open_class, helper, days) for days in used_days][-1] is last


def test_use_is_noted_every_few_minutes_and_no_oftener(open_class, helper):
    helps(open_class, helper, 4 / 1440)
    assert Staff.objects.get().used_at is None

    helps(open_class, helper, 5 / 1440)
    assert Staff.objects.get().used_at == cast.NOW + timedelta(minutes=5)


def test_who_helped_too_long_is_told_to_ask_for_a_new_link(open_class, helper, monkeypatch):
    phone = Client()
    phone.cookies[f"navclass_helps_{open_class.pk}"] = helper
    live = f"/classes/{open_class.pk}/live/"
    monkeypatch.setattr(acting.timezone, "now", lambda: cast.LATER)
    assert phone.get(live).status_code == 200

    monkeypatch.setattr(acting.timezone, "now", lambda: cast.NOW + timedelta(days=60))
    answer = phone.get(live, follow=True)

    assert answer.redirect_chain[0][0].startswith("/sign-in/")
    assert "This phone helps no longer. Ask for a new link." in answer.content.decode()
