"""What a kit's log adds to the diagnosis of a class: a compass that one person alone holds is told
apart from that person, and a log that is wrong is outvoted.
"""

import numpy as np
import pytest

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.biases import REVERSED_SHARE
from exercises.domain.diagnosis.compass_known import CompassKnown
from tests import benchmark_kit
from tests.domain.test_class_model import class_of

OFF = CompassKnown(6.0, 0.6, 0.9, 0.002)
SOUND = CompassKnown(0.0, 0.6, 0.9, 0.002)
TURNED = CompassKnown(0.0, 0.6, 0.9, 0.9)


def bent(by_deg, number=2):
    """Everybody has a compass of their own; what that of one person shows is turned."""
    return lambda place, one, moment: by_deg * (place == number)


def test_a_class_is_judged_alike_whatever_is_known_of_compasses_that_nobody_holds():
    answers, readings = class_of(bent(6.0))

    without = diagnosis.diagnose(answers, readings)
    with_log = diagnosis.diagnose(answers, readings, known={"99": OFF, "98": TURNED})

    assert with_log.verdicts == without.verdicts
    assert with_log.people == without.people
    assert with_log.compasses == without.compasses
    assert set(with_log.posterior.compasses) == {"98", "99"}


def test_a_compass_that_was_off_is_told_apart_from_the_one_who_holds_it():
    answers, readings = class_of(bent(6.0))

    found = diagnosis.diagnose(answers, readings, known={"2": OFF}).compasses

    assert list(found) == ["2"]
    assert found["2"].offset.degrees == pytest.approx(6.0, abs=1.0)
    assert found["2"].offset.fault_probability > 0.9


def test_a_compass_that_was_sound_is_not_what_is_off():
    answers, readings = class_of(bent(6.0))

    found = diagnosis.diagnose(answers, readings, known={"2": SOUND})

    assert found.compasses["2"].offset.fault_probability < 0.2
    assert found.people["P2"].offset_deg == pytest.approx(6.0, abs=1.5)


def test_a_needle_that_was_reversed_is_not_its_holders_habit():
    answers, readings = class_of(bent(180.0))

    without = diagnosis.diagnose(answers, readings)
    found = diagnosis.diagnose(answers, readings, known={"2": TURNED})

    assert without.people["P2"].habit == "reversed"
    assert (found.people["P2"].habit, found.compasses["2"].reversed_probability > 0.9) == (
        "none",
        True,
    )


@pytest.mark.parametrize("log", [OFF, TURNED], ids=["off", "reversed"])
def test_a_compass_that_was_mended_and_nobody_noted_it_accuses_nobody(log):
    answers, readings = class_of(bent(0.0))

    without = diagnosis.diagnose(answers, readings)
    found = diagnosis.diagnose(answers, readings, known={"2": log})

    assert {person.habit for person in found.people.values()} == {"none"}
    assert [verdict.cause for verdict in found.verdicts] == [
        verdict.cause for verdict in without.verdicts
    ]
    assert found.compasses["2"].reversed_probability < 0.5


def test_many_hands_outvote_a_wrong_log():
    answers, readings = class_of(bent(0.0), compass=lambda place: str(place % 3))

    found = diagnosis.diagnose(answers, readings, known={"2": OFF}).compasses["2"].offset

    assert found.degrees == pytest.approx(0.0, abs=1.0)
    assert found.fault_probability < 0.1


def test_before_the_first_count_phones_are_judged_by_the_log():
    answers, readings = class_of(bent(6.0))
    own = [reading for reading in readings if reading.person == "P2"]

    known = diagnosis.nothing_known(known={"2": OFF})
    found = diagnosis.diagnose_people(answers, own, known).people["P2"]

    assert (found.habit, found.offset_deg) == ("none", pytest.approx(6.0, abs=1.5))


def test_a_compass_not_read_yet_stays_known_at_the_next_count():
    answers, readings = class_of(bent(0.0))

    posterior = diagnosis.diagnose(answers, readings, known={"2": OFF, "99": TURNED}).posterior

    assert posterior.turned["99"] == 0.9
    assert posterior.compasses["99"] == TURNED.bias()
    assert posterior.compasses["2"] != OFF.bias()


def test_what_is_usual_of_a_needle_holds_of_a_compass_of_which_nothing_is_known():
    usual = CompassKnown(0.0, 0.6, 0.0, REVERSED_SHARE)
    answers, readings = class_of(bent(180.0), compass=lambda place: str(place % 6))

    without = diagnosis.diagnose(answers, readings)
    found = diagnosis.diagnose(answers, readings, known={"2": usual})

    assert found.compasses["2"].reversed_probability == pytest.approx(
        without.compasses["2"].reversed_probability, abs=1e-6
    )


def test_a_right_log_makes_offsets_surer_and_keeps_their_intervals():
    """Four classes of the benchmark, seed 3, a compass each or one between two: the whole of it is
    in the README of the diagnosis.
    """
    scores = benchmark_kit.run(4, 3)

    def errors(name):
        score = scores[2, name]
        return np.abs([error for part in score.errors.values() for error in part])

    held = [flag for part in scores[2, "right"].held.values() for flag in part]
    assert errors("right").mean() < errors("none").mean()
    assert np.mean(held) >= 0.93
