"""Three workers on two ports serve one database: it matters to nobody which of them answers. The
same on PostgreSQL behind nginx: tests/deploy.
"""

import pytest

from exercises.usecases.guard_door import CODES

from . import several
from .served import Phone


@pytest.fixture
def make(serve):
    servers = [serve("--workers", "2"), serve("--workers", "1")]

    def new(which):
        made = Phone(servers[which])
        made.served = servers[which]
        return made

    new.code = servers[0].code
    return new


def test_who_signed_in_at_one_is_signed_in_at_the_other(make):
    assert several.signed_in_at_one_is_signed_in_at_the_other(make) == 200


def test_a_phone_that_joined_at_one_is_answered_by_the_other_and_stored_once(make):
    assert several.joined_at_one_is_stored_by_the_other(make, make.code, "Mia") == (
        302,
        [200, 200],
        1,
    )


def test_guesses_at_all_are_counted_together(make):
    assert several.guesses_are_counted_together(make, make.code) == (CODES.bears + 1, [429, 429])


def test_who_is_signed_out_at_one_is_signed_out_at_the_other(make):
    assert several.signed_out_at_one_is_signed_out_at_the_other(make) == (
        200,
        302,
        "/sign-in/?next=/sites/",
    )
