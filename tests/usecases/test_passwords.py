"""What a new password must not be: known from breaches, or put together of what is."""

import pytest
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

EASY = "That is easy to guess"


def said(password, user=None):
    try:
        validate_password(password, user)
    except ValidationError as error:
        return error.messages
    return []


@pytest.mark.parametrize(
    "password",
    [
        pytest.param("iloveyou12345", id="of a breach, and a run"),
        pytest.param("P@ssw0rd2026", id="signs for letters, and a year"),
        pytest.param("basketball1", id="of a breach, and a digit"),
        pytest.param("1q2w3e4r5t6y", id="a run of the keyboard"),
        pytest.param("Jennifer1987", id="a name and a year"),
        pytest.param("compassclass", id="two common words"),
        pytest.param("a" * 200, id="one letter, however long"),
    ],
)
def test_what_guessers_try_first_is_refused(password):
    assert any(sentence.startswith(EASY) for sentence in said(password))


@pytest.mark.parametrize(
    "password",
    ["heather, kettle, ladder", "granite lantern", "schafwolle am gatter", "k" * 9 + "ö~Ж大" * 30],
)
def test_words_that_have_nothing_to_do_with_each_other_are_taken(password):
    assert said(password) == []


def test_what_is_made_of_the_account_itself_is_refused():
    user = User(username="ines.marchetti", email="ines.marchetti@school.example")

    assert any(sentence.startswith(EASY) for sentence in said("ines.marchetti7", user))
