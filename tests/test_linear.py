"""Whatever people send is read in a time that grows with its length: four times the text takes no
more than eight times the processor time, whichever sign it is made of.
"""

import contextlib
import io

import pytest

from exercises.domain.earth import angles, coordinates
from exercises.domain.earth.angle_units import MIL_6400
from exercises.domain.earth.bearing_notation import notation_of
from exercises.domain.earth.plain_text import plain
from exercises.domain.running import kit
from exercises.domain.surveying.traverse import parse_legs
from exercises.domain.surveying.traverses.field_book import read_book
from exercises.exchange import columns, delimited, handover, headerless, reading, tables
from exercises.forms.roster import RosterForm
from exercises.forms.station import plain_code
from exercises.models.course_class import name_key
from exercises.usecases import passkey_ceremony
from exercises.usecases.without_names import without_names
from exercises.world import towns
from tests.authenticator import Authenticator
from tests.processor import least_s

SHORT, LONG = 2_000, 8_000  # characters
MOST_TIMES = 8  # for four times the text; a quadratic reader takes sixteen
TOO_LITTLE_S = 0.02  # of processor time: below, a ratio is noise

WOVEN = {
    "spaces": " ",
    "tabs": "\t",
    "spaces and a word": "          a",
    "tabs and colons": "\t:\t=",
    "commas and spaces": ", ",
    "digits": "9",
    "noughts": "0",
    "digits with points": "1.",
    "digits and spaces": "1 ",
    "decimal commas": "1,",
    "minus signs": "-",
    "dashes between digits": "1 - ",
    "round brackets": "(",
    "square brackets": "[",
    "both brackets": "([",
    "braces": "{",
    "closed brackets": "()",
    "JSON lists": '[["',
    "tags": "<a>",
    "quotes": '"',
    "two quotes": '""',
    "single quotes": "'",
    "degree signs": "°",
    "degrees": "45°",
    "compass letters": "NSEWO",
    "words of axes": "lat lon ",
    "de": "de ",
    "combining characters": "\u0301\u0323",
    "letters that combine": "e\u0301\u0323",
    "wide digits": "４",
    "signs of no width": "\u200b",
    "links": "geo:",
    "addresses": "https://",
    "parameters": ";u=1",
    "tildes": "~",
    "lines": "\n",
    "line ends": "\r",
    "lines with a letter": "a\n",
    "lines of tabs": "\t\t\n",
    "metres": " m",
    "slashes": "/",
    "equals": "=",
    "zones": "zone ",
    "bars": "|",
}
FRAMES = {
    "alone": "{}",
    "inside": "P1: {}.",
    "after a figure": "1{}x",
    "a cell": 'name,place\n"{}",1',
    "a heading": "name,{}\n1,2",
}


def _file(text):
    return reading.read_file("points.csv", text.encode("utf-8", "surrogatepass"))


def _answers(text):
    list(tables.rows("answers.csv", io.StringIO(text), tables.READING_COLUMNS))


def _roster(text):
    return RosterForm({"names": text}).is_valid()


def _attested(text):
    """The part of a browser's answer that is no JSON."""
    asked = {"challenge": "AAAA", "rp": {"id": "x.example"}, "user": {"id": "AAAA"}}
    content = text.encode("utf-8", "surrogatepass")
    sent = Authenticator().make(asked, "https://x.example", attestation=content)
    here = passkey_ceremony.Here("x.example", "https://x.example")
    passkey_ceremony.created(answer=sent, here=here, challenge="AAAA")


READERS = {
    "a file": _file,
    "a pasted text": delimited.read_csv,
    "a line with a name": delimited.name_and_place,
    "a points file": lambda text: headerless.read_headerless("P1 " + text, 500),
    "names of columns": lambda text: columns.guess_columns([text]),
    "a table of answers": _answers,
    "what a phone hands over": handover.read,
    "a place": coordinates.read_place,
    "a latitude": lambda text: coordinates.read_degrees(text, "latitude"),
    "a plain text": plain,
    "a bearing": angles.parse_bearing,
    "a bearing on paper": angles.parse_bearing_on_paper,
    "mils": notation_of(MIL_6400).parse,
    "legs": parse_legs,
    "a field book": lambda text: read_book(text, "A", "B"),
    "numbers of compasses": kit.numbers,
    "a roster": _roster,
    "a code": plain_code,
    "who a name is": name_key,
    "a town": towns.named,
    "a passkey": passkey_ceremony.id_in,
    "a new passkey": _attested,
    "a text with names": lambda text: without_names(text, ["Mia", "Tom"]),
}


def processor_s(read, text):
    """The processor time to read a text, refused or not."""

    def act():
        with contextlib.suppress(ValueError):
            read(text)

    return least_s(act, TOO_LITTLE_S)


@pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)
@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_a_text_of_four_times_the_length_takes_no_more_than_eight_times_as_long(read, frame):
    slow = {}
    with contextlib.suppress(ValueError):
        read("A 1")  # what is loaded once is loaded now
    for name, sign in WOVEN.items():
        short, long = (frame.replace("{}", (sign * length)[:length]) for length in (SHORT, LONG))
        long_s = processor_s(read, long)
        if long_s > TOO_LITTLE_S:
            ratio = long_s / processor_s(read, short)
            if ratio > MOST_TIMES:
                slow[name] = round(ratio, 1), round(long_s, 2)

    assert slow == {}
