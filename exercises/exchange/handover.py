"""Readings as one line of text, from a phone that finds no network to an instructor's that does.
static/exercises/js/handover.js writes it.

`CODE~READING~READING`, a reading being `person.task.answer.id.second`, with `.m` behind it for mils
that were said of a number asked in degrees, or the code of the unit in which it was asked: the
person's number and the second in base 36, the id's sixteen bytes in URL-safe base 64, task and
answer percent-encoded.
"""

import base64
import uuid
from datetime import UTC, datetime
from urllib.parse import unquote

from ..domain.earth.angle_units import DEGREES, UNITS
from ..domain.words import say

LONGEST = 40_000  # characters: as many readings as one batch may hold
MOST = 200
# what stands behind a reading
MARKS = {
    "": {"mils": False, "unit": DEGREES.code},
    "m": {"mils": True, "unit": DEGREES.code},
    **{code: {"mils": False, "unit": code} for code in UNITS},
}
LONGEST_PERSON = 12  # digits in base 36: what a database takes for a key


class NotReadable(ValueError):
    """A text that is no readings. The message says what to do."""


def read(text):
    """The code of the class and the readings, as `usecases.take_readings` takes them. Lines after
    each other are taken together.

    Raises NotReadable, for the whole text: a line that was cut off must not lose readings in
    silence.
    """
    lines = text.split()
    if not lines or len(text) > LONGEST:
        raise NotReadable(
            say(
                "There are no readings in this. Scan the picture once more, or paste the whole "
                "text."
            )
        )
    codes, readings = set(), []
    for line in lines:
        code, *parts = line.split("~")
        codes.add(code.upper())
        readings += [_reading(part) for part in parts]
    if len(codes) > 1:
        raise NotReadable(
            say("These readings are of two classes. Take them in one after the other.")
        )
    if not readings or len(readings) > MOST:
        raise NotReadable(
            say(
                "There are no readings in this. Scan the picture once more, or paste the whole "
                "text."
            )
        )
    return codes.pop(), readings


def _reading(part):
    fields = part.split(".")
    try:
        if len(fields) not in (5, 6) or (fields[5:] and fields[5] not in MARKS):
            raise ValueError("fields")
        person, task, answer, packed, second = fields[:5]
        if not (person.isalnum() and len(person) <= LONGEST_PERSON):
            raise ValueError("person")
        made = datetime.fromtimestamp(int(second, 36), tz=UTC)
        return {
            "id": str(uuid.UUID(bytes=base64.urlsafe_b64decode(packed + "=="))),
            "person": int(person, 36),
            "task": unquote(task),
            "text": unquote(answer),
            **MARKS[fields[5] if fields[5:] else ""],
            "measured_at": made.isoformat(),
        }
    except (ValueError, OverflowError, OSError) as error:
        raise NotReadable(
            say(
                "A part of the text is missing or was changed. Scan the picture once more, or "
                "paste the whole text."
            )
        ) from error
