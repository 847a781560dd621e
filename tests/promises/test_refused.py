"""What breaks a promise is refused by the database itself, whoever writes it."""

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction
from django.db.models import CheckConstraint

from exercises.promises import breaches, enforce
from exercises.promises.table import PROMISES
from tests.promises.cases import CASES
from tests.promises.world import build

# of two that a row breaks, SQLite names the first of its table and PostgreSQL the first by name
IMPLIED_BY = {"class_state_is_known": "class_opened_when_not_draft"}


@pytest.fixture
def world(ines, karl):
    return build(ines, karl)


@pytest.mark.parametrize(
    ("promise", "act"), [pytest.param(*case, id=f"{n} {case[0]}") for n, case in enumerate(CASES)]
)
def test_a_row_that_breaks_a_promise_is_refused(world, promise, act):
    named = f"{promise}|{IMPLIED_BY.get(promise, promise)}"
    with pytest.raises(IntegrityError, match=named), transaction.atomic():
        act(world)


def test_each_promise_is_tried():
    constraints = {
        constraint.name
        for model in apps.get_app_config("exercises").get_models()
        for constraint in model._meta.constraints
        if isinstance(constraint, CheckConstraint)
    }
    promises = {promise.name for promise in PROMISES}

    assert {name for name, _ in CASES} == constraints | promises


def test_a_world_made_by_the_use_cases_breaks_none(world):
    assert list(breaches.breaches(connection)) == []


@pytest.mark.django_db
def test_all_promises_are_in_force():
    assert enforce.missing(connection) == []


def test_names_of_triggers_fit_into_what_postgresql_keeps():
    names = [promise.name for promise in PROMISES]

    assert len(set(names)) == len(names)
    assert max(len(f"promise_{name}_i_123456") for name in names) <= 63
