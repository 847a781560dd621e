"""Replies to questions about readings, and what people say truly happened."""

import uuid

import pytest

from exercises.domain.diagnosis.verdicts import Verdict
from exercises.models import Label, Reading, Reply
from exercises.models.afterwards import SaidIsKept
from exercises.usecases.take_readings import take_readings
from exercises.usecases.take_said import Useless, label_reading, take_replies
from tests import cast

SAID = Verdict("ten_off", 0.6)


@pytest.fixture
def reading(open_class, mia):
    take_readings(
        course_class=open_class,
        people=[mia],
        sent=[cast.reading(mia)],
        answers=open_class.keys.get().as_domain(),
        now=cast.NOW,
    )
    return Reading.objects.get()


def reply(reading, **changed):
    return {
        "id": str(uuid.uuid4()),
        "about": reading.pk,
        "question": "needle_end",
        "said": "other",
        "measured_at": "2026-10-03T09:40:00+00:00",
    } | changed


def take(open_class, person, *sent):
    return take_replies(
        course_class=open_class,
        people=[person],
        sent=list(sent),
        answers=open_class.keys.get().as_domain(),
        now=cast.LATER,
    )


def test_a_reply_sent_twice_is_stored_once(open_class, mia, reading):
    sent = reply(reading)

    assert [one.status for one in take(open_class, mia, sent, sent)] == ["stored", "again"]
    kept = Reply.objects.get()
    assert (kept.reading, kept.question, kept.said, kept.received_at) == (
        reading,
        "needle_end",
        "other",
        cast.LATER,
    )
    assert kept.measured_at.isoformat() == "2026-10-03T09:40:00+00:00"


def test_the_first_reply_to_a_reading_stands(open_class, mia, reading):
    take(open_class, mia, reply(reading), reply(reading, said="marked"))

    assert Reply.objects.get().said == "other"


def test_a_question_may_be_passed_over(open_class, mia, reading):
    assert take(open_class, mia, reply(reading, said=""))[0].status == "stored"


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"about": 0}, id="no such reading"),
        pytest.param({"about": True}, id="a truth for a number"),
        pytest.param({"about": 10**30}, id="a number beyond the database"),
        pytest.param({"about": None}, id="about nothing"),
        pytest.param({"question": "why"}, id="no such question"),
        pytest.param({"question": ["needle_end"]}, id="a list of questions"),
        pytest.param({"said": "perhaps"}, id="no such reply"),
        pytest.param({"said": {"a": 1}}, id="a dict for a reply"),
        pytest.param({"id": "7"}, id="no proper id"),
        pytest.param({"id": None}, id="no id"),
    ],
)
def test_what_is_no_reply_is_told_to_be_useless_and_not_stored(open_class, mia, reading, changed):
    assert take(open_class, mia, reply(reading, **changed))[0].status == "useless"
    assert not Reply.objects.exists()


def test_nobody_replies_for_somebody_else(open_class, reading):
    ((tom, _),) = cast.join(open_class, "Tom")

    assert take(open_class, tom, reply(reading))[0].status == "useless"
    assert not Reply.objects.exists()


def test_a_reply_is_never_changed(open_class, mia, reading):
    take(open_class, mia, reply(reading))
    kept = Reply.objects.get()
    kept.said = "marked"

    with pytest.raises(SaidIsKept):
        kept.save()


def test_a_label_is_kept_with_who_says_so(ines, reading):
    own, other = uuid.uuid4(), uuid.uuid4()
    common = {"reading": reading, "now": cast.LATER, "verdict": SAID}

    label_reading(cause="reversed", client_id=own, by=None, **common)
    label_reading(cause="other_target", client_id=other, by=ines, **common)

    assert list(Label.objects.values_list("cause", "said_by", "by", "was_cause")) == [
        ("reversed", "person", None, "ten_off"),
        ("other_target", "instructor", ines.pk, "ten_off"),
    ]


def test_a_label_sent_twice_is_stored_once(ines, reading):
    sent = {"reading": reading, "cause": "ok", "client_id": uuid.uuid4(), "now": cast.LATER}

    assert [label_reading(by=ines, verdict=SAID, **sent) for _ in range(2)] == ["stored", "again"]
    assert Label.objects.count() == 1


@pytest.mark.parametrize("cause", ["", "tired", "reversed+declination_ignored", "ok+reversed"])
def test_what_is_no_cause_is_refused(ines, reading, cause):
    with pytest.raises(Useless):
        label_reading(
            reading=reading,
            cause=cause,
            verdict=SAID,
            client_id=uuid.uuid4(),
            by=ines,
            now=cast.LATER,
        )
