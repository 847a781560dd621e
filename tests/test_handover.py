import json
from pathlib import Path

import pytest

from exercises.exchange import handover

SHARED = json.loads(
    (Path(__file__).resolve().parent.parent / "fixtures/shared/handover.json").read_text(
        encoding="utf-8"
    )
)
ONE = "K3M9TP~15.1.302.bwwqHjtdTH6aEAEjRWeJqw.tmbs6o"


def test_the_phones_text_is_read_as_it_was_written():
    code, readings = handover.read(SHARED["text"])

    assert code == SHARED["code"]
    assert readings == [
        {
            **{name: one[name] for name in ("id", "person", "task", "text", "mils")},
            "unit": one.get("unit", "deg"),
            "measured_at": one["measured_at"].replace(".000Z", "+00:00"),
        }
        for one in SHARED["readings"]
    ]


def test_several_lines_are_taken_together():
    assert len(handover.read(f"{SHARED['text']}\n  {ONE}\n")[1]) == 5


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "hello",
        "K3M9TP",
        "K3M9TP~",
        ONE[:-20],
        ONE + ".m.m",
        ONE + ".x",
        ONE.replace("tmbs6o", "zzzzzzzzzzzz"),
        ONE.replace("bwwq", "bw"),
        ONE.replace("15", "<"),
        f"{ONE}\nA{ONE}",
        "~" * 1000,
        ONE.replace("15.", "z" * 13 + "."),
        ONE.replace("15.", "-15."),
        ONE * 2000,
        "K3M9TP~" + "a.b.c.d.e~" * 300,
        "\x00~\x00.\x00",
    ],
)
def test_what_is_cut_off_or_changed_is_refused_as_a_whole_and_in_words(text):
    with pytest.raises(handover.NotReadable, match=r"(\.|paste the whole text\.)$"):
        handover.read(text)
