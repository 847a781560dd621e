"""One answer as given, as plain values."""

import datetime
from dataclasses import dataclass
from typing import Any

from .site import UNSET, Compass


@dataclass(frozen=True)
class Reply:
    """What a person said to a question about a reading, by the codes of `diagnosis.questions`;
    `said` is empty where they passed it over.
    """

    question: str
    said: str


@dataclass(frozen=True)
class Reading:
    """One answer as given.

    `seen` is what the form's `parse` returned; `compass` is the number in the class set, or empty;
    `heard_deg` the bearing with which the person went on from a task before, in the asked north, or
    None (`carried_bearing`). `text` is what was written, `moment` when it was made, `is_late`
    whether it came after the class; `key` is whatever it is known by where it is kept; `reply` what
    was said to a question about it, or None.
    """

    person: str
    task: str
    seen: Any
    compass: str = ""
    instrument: Compass = UNSET
    heard_deg: float | None = None
    text: str = ""
    moment: datetime.datetime | None = None
    is_late: bool = False
    key: int | None = None
    reply: Reply | None = None
