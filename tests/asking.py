"""What people of a simulated class reply to questions about their readings, from what truly
happened: honestly nine times of ten.

Written without a look at how the model weighs replies. Common practice, no source: of those who
reverse, three in four box the other end, the others hold the arrow towards themselves.
"""

from collections import defaultdict
from dataclasses import replace

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.questions import QUESTIONS
from exercises.domain.earth.angles import difference
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reply

HONEST, BOXES_OTHER_END = 0.9, 0.75
ONE_IN = 4  # of a person's readings, at most


def asked(held, posterior, rng):
    """The readings of a class, those with a reply that were worth a question: the most open ones of
    each person, at most one in ONE_IN.
    """
    judged = diagnosis.diagnose_people(held.answers, held.readings, posterior)
    open_ones = defaultdict(list)
    for index, (reading, verdict) in enumerate(zip(held.readings, judged.verdicts, strict=True)):
        if verdict.question:
            open_ones[reading.person].append((verdict.probability, index, verdict.question))
    readings = list(held.readings)
    for name, found in open_ones.items():
        most = sum(reading.person == name for reading in held.readings) // ONE_IN
        for _, index, question in sorted(found)[:most]:
            said = _reply(held, index, question, rng)
            readings[index] = replace(readings[index], reply=Reply(question, said))
    return readings


def _reply(held, index, code, rng):
    """What the person says."""
    reading, truth = held.readings[index], set(held.truths[index].split("+"))
    answer = next(answer for answer in held.answers if answer.task == reading.task)
    honest = {"needle_end": _end, "arithmetic": _sum, "aimed_at": _thing}[code]
    said, choices = honest(held, reading, answer, truth, rng), QUESTIONS[code].replies(answer)
    if rng.random() < HONEST and said in choices:
        return said
    others = [choice for choice in choices if choice != said]
    return others[int(rng.integers(len(others)))]


def _end(held, reading, answer, truth, rng):
    """Which end was in the arrow: whose needle is reversed boxes the marked end."""
    by_person = ("reversed" in truth) != held.compasses[reading.compass].is_reversed
    return "other" if by_person and rng.random() < BOXES_OTHER_END else "marked"


def _sum(held, reading, answer, truth, rng):
    """What was added, by the sign of the angle between the norths as the hand met them."""
    declination = answer.norths.declination_deg
    convergence = answer.norths.convergence_deg if answer.north == "grid" else 0.0
    asked_is_magnetic, is_set = answer.north == "magnetic", reading.instrument.declination_is_set
    wanted = {
        (True, False): 0.0,
        (True, True): -declination,
        (False, False): declination - convergence,
        (False, True): -convergence,
    }[asked_is_magnetic, is_set]
    if kind_of(answer.kind).code == "follow":
        wanted = -wanted
        declination = -declination
    needless = abs(wanted) < 1.0
    if "declination_ignored" in truth:
        done = declination if needless else 0.0
    elif "declination_wrong_way" in truth:
        done = -wanted
    elif "declination_twice" in truth:
        done = declination if needless else wanted
    else:
        done = wanted
    return "nothing" if abs(done) < 1.0 else "added" if done > 0 else "subtracted"


def _thing(held, reading, answer, truth, rng):
    """What was aimed at: of another target the one that the number lies nearest to."""
    if "other_target" not in truth:
        return answer.target
    turn = answer.norths.correction("true", answer.north)
    return min(
        answer.others,
        key=lambda other: abs(difference(reading.seen.degrees, other.bearing_deg + turn)),
    ).code
