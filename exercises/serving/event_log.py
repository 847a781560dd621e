"""The log of the server, for a school's IT: one line an event, as JSON, with its time in UTC, what
it was, the keys of account and class, and how it came out.

Names, codes, addresses and paths never stand in it: who may read a log of the machine need not be
who may read a class. `exercises/usecases/trail.py` is another thing: there those who run a class
read what was done in it, by name.
"""

import json
import logging
import traceback
from datetime import UTC, datetime

LOGGER = "navclass.events"
log = logging.getLogger(LOGGER)


def note_event(event, outcome, *, account=None, course_class=None):
    """Note an event: its code, what came of it, and the keys of account and class."""
    log.info(event, extra={"told": {"account": account, "class": course_class, "outcome": outcome}})


class AsLine(logging.Formatter):
    """A record as a line of JSON. Of others' records only what stands in the program is told: the
    words without their values, the kind of a fault and where it happened, for a value may be
    somebody's name, and a path holds a class's code.
    """

    def format(self, record):
        """The line."""
        moment = datetime.fromtimestamp(record.created, UTC)
        line = {"time": moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")}
        if hasattr(record, "told"):
            return json.dumps(line | {"event": record.msg} | record.told)
        line |= {"event": "program", "level": record.levelname.lower(), "from": record.name}
        line["words"] = str(record.msg)
        if record.exc_info and record.exc_info[0]:
            kind, _error, trace = record.exc_info
            line["fault"] = kind.__name__
            line["where"] = [f"{at.filename}:{at.lineno}" for at in traceback.extract_tb(trace)]
        return json.dumps(line)
