"""The pages of passkeys as a browser goes through them, with a device in software."""

import json
import re

from django.test import Client

PASSWORD = "heather, kettle, ladder"
HOST, ORIGIN = "localhost:8000", "http://localhost:8000"
NEW, MAKE = "/account/second-step/passkey/", "/account/second-step/passkey/make/"
STEP, USE = "/sign-in/second-step/", "/sign-in/second-step/passkey/"


def browser(host=HOST):
    return Client(HTTP_HOST=host)


def text(answer):
    return " ".join(answer.content.decode().split())


def options(answer):
    """What a page asks the browser for; None for nothing."""
    found = re.search(
        r'<script id="passkey-options" type="application/json">(.+?)</script>',
        answer.content.decode(),
    )
    return found and json.loads(found[1])


def name_it(desk, name="Laptop"):
    return desk.post(NEW, {"name": name, "password": PASSWORD})


def make(desk, device, name="Laptop", origin=ORIGIN):
    """Add a passkey as a browser does; the answer to its last step."""
    name_it(desk, name)
    asked = options(desk.get(MAKE))
    return desk.post(MAKE, {"answer": device.make(asked, origin)})


def give_password(client, **more):
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD, **more})
    return client.get(STEP)


def use(client, device, asked=None, origin=ORIGIN, **spoilt):
    asked = asked or options(client.get(STEP))
    return client.post(USE, {"answer": device.use(asked, origin, **spoilt)})


def is_in(client):
    return client.get("/account/").status_code == 200
