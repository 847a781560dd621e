"""Behind a proxy: what it says of who asks is believed, and nobody else's word is."""

import pytest

from .served import HOST, Phone


@pytest.fixture
def served(serve):
    return serve()


def test_behind_the_proxy_a_page_answers_and_does_not_redirect_to_itself(served):
    answer = Phone(served).get("/")

    assert (answer.status, answer.headers["Location"]) == (200, None)


def test_a_phone_joins_and_its_reading_is_stored(served):
    phone = Phone(served)

    joined = phone.join(served.code)
    told = phone.read(served.code)

    assert (joined.status, joined.headers["Location"]) == (302, f"/c/{served.code}/")
    assert all("Secure" in cookie for cookie in joined.set_cookies)
    assert told.status == 200


def test_plain_http_is_sent_to_https_once(served):
    answer = Phone(served, scheme="http").get("/")

    assert (answer.status, answer.headers["Location"]) == (301, f"https://{HOST}/")


def test_what_others_than_the_proxy_say_of_who_asks_is_not_believed(served):
    stranger = Phone(served, comes_from="127.0.0.2")

    assert stranger.get("/").status == 301


def test_another_host_name_is_refused(served):
    assert Phone(served).get("/", Host="elsewhere.example").status == 400
