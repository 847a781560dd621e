"""The drill: phones send readings to the running server while a backup is made; it is verified and
restored into an empty folder.
"""

import http.client
import json
import sqlite3
import threading
from urllib.parse import urlsplit

import psycopg
from django.utils import timezone

from exercises.keeping import restoring, routine
from tests import cast

PHONES, BEFORE, BATCH = 4, 10, 3  # readings that each has sent before the backup begins


class SendingPhone(threading.Thread):
    """A phone that sends batches, one after the other, and notes what was confirmed."""

    def __init__(self, address, course_class, person, secret):
        super().__init__(daemon=True)
        self.address, self.person = urlsplit(address).netloc, person
        self.path = f"/c/{course_class.code}/readings/"
        self.cookie = f"navclass_{course_class.pk}={person.pk}:{secret}"
        self.confirmed, self.trouble = [], []
        self.has_begun, self.is_over = threading.Event(), threading.Event()

    def run(self):
        """Send until it is over."""
        while not self.is_over.is_set():
            batch = [
                cast.reading(self.person, task=str(1 + place), text="044") for place in range(BATCH)
            ]
            self.confirmed += self.send(batch)
            if len(self.confirmed) >= BEFORE or self.trouble:
                self.has_begun.set()

    def send(self, batch):
        """The ids that the server confirmed."""
        connection = http.client.HTTPConnection(self.address, timeout=60)
        token = "t" * 32
        connection.request(
            "POST",
            self.path,
            body=json.dumps({"readings": batch}),
            headers={
                "Content-Type": "application/json",
                "Cookie": f"{self.cookie}; csrftoken={token}",
                "X-CSRFToken": token,
            },
        )
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        if answer.status != 200:
            self.trouble.append((answer.status, body[:200]))
            self.is_over.set()
            return []
        return [
            outcome["id"]
            for outcome in json.loads(body)["readings"]
            if outcome["status"] in ("stored", "again")
        ]


def restored_rows(database):
    """Of each restored reading: its id, whose, which task and attempt, what was sent."""
    query = "SELECT client_id, person_id, task, attempt, text FROM exercises_reading"
    if "sqlite" in database["ENGINE"]:
        connection = sqlite3.connect(database["NAME"])
    else:
        connection = psycopg.connect(
            host=database["HOST"],
            port=database["PORT"] or None,
            user=database["USER"],
            dbname=database["NAME"],
        )
    rows = connection.execute(query).fetchall()
    connection.close()
    return rows


def test_a_backup_made_while_phones_send_holds_all_that_was_confirmed_before_it(
    live_server, data, elsewhere, tmp_path
):
    course_class = cast.class_of(cast.instructor("ines"))
    joined = cast.join(course_class, *"abcdefgh"[:PHONES])
    phones = [SendingPhone(live_server.url, course_class, *pair) for pair in joined]
    for phone in phones:
        phone.start()
    for phone in phones:
        assert phone.has_begun.wait(60)
    before = {identifier for phone in phones for identifier in list(phone.confirmed)}

    made = routine.back_up(why="daily", now=timezone.now(), passphrase="")

    for phone in phones:
        phone.is_over.set()
    for phone in phones:
        phone.join(60)
    assert [phone.trouble for phone in phones] == [[]] * PHONES
    after = {identifier for phone in phones for identifier in phone.confirmed}
    manifest = routine.verify(made.path, passphrase="")
    restoring.restore(
        made.path,
        database=elsewhere,
        data=tmp_path / "elsewhere",
        passphrase="",
        known_migrations=routine.known_migrations(),
        over_newer=False,
        now=timezone.now(),
    )
    rows = restored_rows(elsewhere)
    whole = {(str(row[0]).replace("-", "")) for row in rows}
    assert {identifier.replace("-", "") for identifier in before} <= whole
    assert len(after) > len(before)  # they did send meanwhile
    assert manifest.rows["exercises_reading"] == len(rows) == len(whole)
    attempts = {}
    for _, person, task, attempt, text in rows:
        attempts.setdefault((person, task), []).append(attempt)
        assert text == "044"
    assert all(sorted(found) == list(range(1, len(found) + 1)) for found in attempts.values())
