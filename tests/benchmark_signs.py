"""How often first signs are true, and whether seeing to a station helps: classes with known truth,
stopped while they are out.

    python -m tests.benchmark_signs --classes 60 --seed 173

A sign of a station, line or compass is true where what bends it is beyond 3 degrees at that moment;
of a habit where three people or more have it. Signs of another target are left out: who sighted
what is known of each reading, and a sign needs three.
"""

import argparse
from collections import defaultdict
from dataclasses import replace

import numpy as np

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.class_arrays import SeenTo
from exercises.domain.results.judged import judge
from exercises.domain.running.first_signs import About, first_signs
from tests.simulation import BIG_DEG, hold
from tests.worlds import WORLDS

STOPPED = (0.3, 0.6)  # of the readings are in when the class is looked at
BINS = ((0.5, 0.7), (0.7, 0.9), (0.9, 1.01))


def judged_until(held, count, seen_to=()):
    """The signs of a class when so many readings are in."""
    readings = held.readings[:count]
    found = diagnosis.diagnose(held.answers, readings, seen_to=seen_to)
    return first_signs(judge(held.answers, readings, found.verdicts, {}), found)


def is_true(held, sign, minute):
    """Whether what a sign says is so."""
    if sign.about == About.STATION:
        return abs(held.stations[sign.subject].at(minute)) > BIG_DEG
    if sign.about == About.LINE:
        return abs(held.lines[sign.subject]) > BIG_DEG
    if sign.about == About.COMPASS_REVERSED:
        return held.compasses[sign.subject].is_reversed
    if sign.about == About.COMPASS_OFF:
        return abs(held.compasses[sign.subject].offset_deg) > BIG_DEG
    return sum(sign.subject in person.habits for person in held.people.values()) >= 3


def calibration(world, classes, seed):
    """By kind and bin of probability: how many signs there were, and how many were true."""
    found = defaultdict(list)
    for number in range(classes):
        rng = np.random.default_rng([seed, number])
        held = hold(WORLDS[world](rng), rng)
        for share in STOPPED:
            count = int(share * len(held.readings))
            if count < 4:
                continue
            for sign in judged_until(held, count):
                if sign.about != About.OTHER_TARGET:
                    truth = is_true(held, sign, held.minutes[count - 1])
                    found[sign.about].append((sign.probability, truth))
    return found


def mending(world, classes, seed, after=3):
    """Of classes with a bent station that somebody sees to, when `after` more readings are in from
    there: whether its sign is still shown, by whether it was mended and whether the diagnosis was
    told of it.
    """
    shown = defaultdict(list)
    for number in range(classes):
        for is_mended in (True, False):
            rng = np.random.default_rng([seed, number, is_mended])
            setting = replace(WORLDS[world](rng), fault_stations=1, change_share=float(is_mended))
            held = hold(replace(setting, fault_begins=False), rng)
            found = seen_to(held, is_mended)
            if found is None:
                continue
            code, middle, there = found
            later = [place for place in there if place >= middle]
            if min(len(later), len(there) - len(later)) < after:
                continue
            for is_told in (False, True):
                told = [SeenTo(code, middle)] if is_told else []
                signs = judged_until(held, later[after - 1] + 1, told)
                is_shown = any((one.about, one.subject) == (About.STATION, code) for one in signs)
                shown[is_mended, is_told].append(is_shown)
    return shown


def seen_to(held, is_mended):
    """The bent station, before which reading of the class somebody saw to it (when it was mended,
    or half-way), and the places of its readings; None where there is none.
    """
    at = {answer.task: answer.station for answer in held.answers}
    for code, station in held.stations.items():
        there = [place for place, one in enumerate(held.readings) if at[one.task] == code]
        if abs(station.bias_deg) <= BIG_DEG or not there or station.begins_min is not None:
            continue
        if not is_mended:
            return code, there[len(there) // 2], there
        if station.ends_min is not None:
            middle = int(np.searchsorted(held.minutes, station.ends_min))
            return code, middle, there
    return None


def main():
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--classes", type=int, default=60)
    parser.add_argument("--seed", type=int, default=173)
    asked = parser.parse_args()
    for world in WORLDS:
        print(world)
        for what, signs in sorted(calibration(world, asked.classes, asked.seed).items()):
            cells = []
            for low, high in BINS:
                there = [truth for chance, truth in signs if low <= chance < high]
                cells.append(f"{low:.1f}+: {sum(there)} of {len(there)} true")
            print(f"  {what:18}", "   ".join(cells))
        for (is_mended, is_told), shown in sorted(
            mending(world, asked.classes, asked.seed).items()
        ):
            what = "mended" if is_mended else "not mended"
            told = "told" if is_told else "not told"
            print(f"  {what}, {told}: sign still shown in {np.mean(shown):.2f} of {len(shown)}")


if __name__ == "__main__":
    main()
