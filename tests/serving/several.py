"""What must hold wherever a request is answered: acts at two addresses of one database. `make`
gives a new browser at the first or the second.
"""

import re

from exercises.usecases.guard_door import CODES

PASSWORD = "ridge line 240 paces"


def signed_in(browser):
    """The browser, in which Ines has signed in."""
    answer = browser.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    assert answer.status == 302
    return browser


def at_the_other(browser, other):
    """The second browser goes on with what the first holds."""
    other.cookies = browser.cookies
    return other


def signed_in_at_one_is_signed_in_at_the_other(make):
    """The status of the desk at the second for who signed in at the first."""
    return at_the_other(signed_in(make(0)), make(1)).get("/sites/").status


def joined_at_one_is_stored_by_the_other(make, code, name):
    """Statuses of joining at the first, and of a reading at the second and again at the first,
    with one id; and how many tasks the phone is told to have sent.
    """
    phone, client_id = make(0), "11111111-2222-4333-8444-555555555555"
    joined = phone.join(code, name)
    told = [
        at.read(code, client_id=client_id).status for at in (at_the_other(phone, make(1)), phone)
    ]
    return joined.status, told, len(phone.get(f"/c/{code}/state/").json()["sent"])


def guesses_are_counted_together(make, code):
    """How many wrong personal codes are heard, guessed at both in turn, until all must wait; and
    the status at each after that.
    """
    browsers = [make(0), make(1)]
    path = f"/c/{code}/other-phone/"
    for number in range(2 * CODES.bears):
        guess = {"personal_code": f"AAAA{number:04}"}  # the same one counts once
        if browsers[number % 2].post(path, guess).status == 429:
            return number, [
                one.post(path, {"personal_code": "AAAAAAAA"}).status for one in browsers
            ]
    raise AssertionError("Nobody had to wait.")


def signed_out_at_one_is_signed_out_at_the_other(make):
    """Where the first browser is led after Ines signed out everywhere in another, at the second."""
    here, there = signed_in(make(0)), signed_in(make(1))
    before = here.get("/sites/").status
    name = re.search(r"/account/sessions/(\w+)/end/", there.get("/account/").body.decode())
    assert name
    there.post("/account/sign-out/", {}, form="/account/")
    after = here.get("/sites/")
    return before, after.status, after.headers["Location"]
