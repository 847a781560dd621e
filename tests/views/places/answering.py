"""A course with every task whose answer is a place, and how a phone answers one."""

from tests import cast
from tests.views.test_station import post, told_after

FIX, INTERSECT, WALK, MAP, FACE = "45678"


def send(client, held, task, text):
    """What the phone is told of an answer."""
    given = cast.reading(held.joined[0][0], task=task, text=text)
    shown = told_after(client, held, given)["shown"]
    return next(one for one in shown if one["task"] == task)


def send_quietly(client, held, task, text):
    """The same, whatever is told."""
    assert (
        post(client, held, cast.reading(held.joined[0][0], task=task, text=text)).json()[
            "readings"
        ][0]["status"]
        == "stored"
    )


def wrong_spot(held, task):
    answer = cast.answer_of(held, task)
    return next(spot.code for spot in answer.form.spots if spot.code != answer.form.right)
