"""Requests, each from its own number, and what went wrong with one."""

import logging
import random
import time
import traceback
from dataclasses import dataclass
from io import BytesIO
from urllib.parse import urlencode

from django.core.cache import cache
from django.db import connection, transaction
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from exercises import queries
from tests.fuzz.values import CONTENT_TYPES, FILES, HOSTILE, RAW, as_bytes, spoilt, spoilt_json

LONGEST_S = 2.0  # of processor time, for one answer
METHODS = ["get", "get", "get", "post", "post", "put", "delete", "head", "options", "patch"]
INTEGERS = ["0", "1", "2", "99999", "9223372036854775807", "9223372036854775808", "9" * 30]
SLUGS = ["x", "X" * 300, "0", "-", "A-1", "a_b", "9" * 20]
GOOD = 0.7  # of the parts of an address are as they should be


@dataclass(frozen=True)
class Asked:
    """One request: by whom, how, where, and with what."""

    role: str
    method: str
    path: str
    more: dict

    def sent_by(self, client):
        """The answer to it."""
        return client.generic(self.method.upper(), self.path, **self.more)


class Maker:
    """Makes requests of a world, each from its own number."""

    def __init__(self, world, seed):
        self.world, self.seed = world, seed

    def request(self, number):
        """The request of a number."""
        rng = random.Random(f"{self.seed}:{number}")
        kind = rng.choice([self._address, self._form, self._form, self._form, self._script])
        return kind(rng)

    def _role(self, rng):
        return rng.choice(["owner", "owner", "owner", *self.world.clients])

    def _path(self, rng):
        text, parts = rng.choice(self.world.addresses)
        values = {}
        for part, is_number in parts.items():
            strange = INTEGERS if is_number else SLUGS
            is_good = rng.random() < GOOD
            values[part] = rng.choice(self.world.named[part] if is_good else strange)
        return "/" + text % values

    def _address(self, rng):
        """An address with a query or a body that has nothing to do with it."""

        path, method = self._path(rng), rng.choice(METHODS)
        if rng.random() < 0.5:
            names = ["find", "on", "people", "within", "number", "station", "site", "have", "next"]
            pairs = [(rng.choice(names), _bytes(rng.choice(HOSTILE))[:3_000]) for _ in range(3)]
            path = f"{path}?{urlencode(pairs)}"
        more = {}
        if method in ("post", "put", "patch"):
            more = {"data": rng.choice(RAW), "content_type": rng.choice(CONTENT_TYPES)}
        return Asked(self._role(rng), method, path, more)

    def _form(self, rng):
        """A form of a page, its values chosen of those that it offers, some of them spoilt."""

        form = rng.choice(self.world.forms)
        spoils = rng.choice([0.0, 0.1, 0.3, 0.9])
        pairs = []
        for name, offered in form.fields.items():
            for _ in range(rng.choice([1, 1, 1, 1, 1, 2, 0])):
                is_spoilt = rng.random() < spoils
                value = rng.choice(HOSTILE if is_spoilt or not offered else offered)
                pairs.append((name, _bytes(value)))
        if form.method.lower() == "get":
            path = f"{form.path.partition('?')[0]}?{urlencode(pairs)[:6_000]}"
            return Asked(self._role(rng), "get", path, {})
        if {"file", "archive"} & form.fields.keys() and rng.random() < 0.7:
            return self._upload(rng, form, pairs, spoilt(rng, rng.choice(FILES)))
        content_type = (
            rng.choice(CONTENT_TYPES)
            if rng.random() < 0.05
            else "application/x-www-form-urlencoded"
        )
        more = {"data": urlencode(pairs), "content_type": content_type}
        return Asked(self._role(rng), "post", form.path, more)

    def _upload(self, rng, form, pairs, content):

        file = BytesIO(content)
        file.name = rng.choice(["points.csv", "a" * 300, "..\\x.gpx", ".xlsx"])
        fields = {name: value.decode("utf-8", "replace") for name, value in pairs}
        for name in {"file", "archive"} & form.fields.keys():
            fields[name] = file
        body = encode_multipart(BOUNDARY, fields)
        if rng.random() < 0.1:
            body = body[: rng.randint(0, len(body))]
        more = {"data": body, "content_type": MULTIPART_CONTENT}
        return Asked(self._role(rng), "post", form.path, more)

    def _script(self, rng):
        """What a script sends, with a part of it spoilt."""

        path, sent = rng.choice(self.world.scripts)
        for _ in range(rng.choice([1, 1, 2, 3])):
            sent = spoilt_json(rng, sent)
        body = as_bytes(sent)
        if rng.random() < 0.1:
            body = spoilt(rng, body)
        is_ours = rng.random() < 0.9
        content_type = "application/json" if is_ours else rng.choice(CONTENT_TYPES)
        who = rng.choice(["participant", "owner", "helper", "nobody"])
        return Asked(who, "post", path, {"data": body, "content_type": content_type})


def _bytes(text):
    return str(text).encode("utf-8", "surrogatepass")


class Watch(logging.Handler):
    """What the server wrote down as a fault."""

    def __init__(self):
        super().__init__(logging.ERROR)
        self.faults = []

    def emit(self, record):
        """Keep the last line and the whole of it."""
        if getattr(record, "status_code", 500) != 503:
            whole = "".join(traceback.format_exception(*record.exc_info)) if record.exc_info else ""
            self.faults.append(whole or record.getMessage())


def trouble_with(world, asked, watch):
    """What went wrong with a request, in words, or nothing; what it did is undone."""

    cache.clear()
    queries.forget()
    watch.faults.clear()
    client = world.clients[asked.role]
    cookies = client.cookies.output(header="", sep=";")
    begun_s = time.process_time()
    trouble = ""
    try:
        with transaction.atomic():
            answer = asked.sent_by(client)
            took_s = time.process_time() - begun_s
            connection.check_constraints()
            transaction.set_rollback(True)
        if answer.status_code >= 500 and answer.status_code != 503:
            trouble = f"answered {answer.status_code}"
        elif took_s > LONGEST_S:
            trouble = f"took {took_s:.1f} s of processor time"
    except Exception:  # whatever it is, it is what is looked for
        trouble = traceback.format_exc()
    finally:
        client.cookies.load(cookies)
    return "\n".join([trouble, *watch.faults]).strip()


def found_by(world, seed, numbers):
    """(number, request, trouble) of those with which something went wrong."""
    watch, maker = Watch(), Maker(world, seed)
    logger = logging.getLogger("django.request")
    logger.handlers, logger.propagate = [watch], False
    for number in numbers:
        asked = maker.request(number)
        if trouble := trouble_with(world, asked, watch):
            yield number, asked, trouble
