"""What a kit's log is worth to the diagnosis, and what one that is wrong does.

    python -m tests.benchmark_kit --classes 40 --seed 9

Classes of twelve with a compass each or one between two, two of them off by 4 to 12 degrees, in
every other class one reversed. The log was written a month before by a set check with a standard
error of 0.6 degrees. Compared are no log; a right one; and a wrong one, in which two sound
compasses are off by 4 to 12 degrees: they were repaired, and nobody noted it. Fixed before it was
run for the first time.
"""

import argparse
from collections import defaultdict
from datetime import timedelta

import numpy as np

from exercises.domain.diagnosis import diagnosis
from exercises.domain.running import kit
from exercises.domain.running.kit import Entry, Event
from tests.scoring import is_accusation, is_right, mean, root_mean_square
from tests.simulated_class import ON, Setting, size
from tests.simulation import BIG_DEG, hold

CHECK_ERROR_DEG, BEFORE = 0.6, timedelta(days=30)
OFF_DEG = (4.0, 12.0)
WRONG = 2  # entries of the wrong log


def class_of(number, rng):
    """A class; every other has a compass each, the others one between two."""
    return hold(
        Setting(
            people=12,
            tasks=10,
            people_to_a_compass=1 + number % 2,
            bad_compasses=2,
            bad_offset_deg=OFF_DEG,
            reversed_compasses=number // 2 % 2,
            fault_stations=number % 3 // 2,
        ),
        rng,
    )


def entry(offset_deg, is_reversed, rng):
    """What a set check writes of a compass."""
    seen_deg = offset_deg + float(rng.normal(0, CHECK_ERROR_DEG))
    event = Event.OFF if abs(seen_deg) > BIG_DEG else Event.CHECKED
    event = Event.REVERSED if is_reversed else event
    return Entry(event, ON - BEFORE, seen_deg, CHECK_ERROR_DEG)


def logs(held, rng):
    """The right log and the wrong one, as the diagnosis knows them, and which compasses the wrong
    one slanders.
    """
    right = {
        number: entry(one.offset_deg, one.is_reversed, rng)
        for number, one in held.compasses.items()
    }
    sound = [
        number
        for number, one in held.compasses.items()
        if abs(one.offset_deg) <= BIG_DEG and not one.is_reversed
    ]
    slandered = [str(number) for number in rng.choice(sound, WRONG, replace=False)]
    wrong = right | {number: entry(size(rng, *OFF_DEG), False, rng) for number in slandered}
    known = [
        {number: kit.known([one], ON) for number, one in log.items()} for log in (right, wrong)
    ]
    return *known, set(slandered)


class Score:
    """What one log led to, over many classes."""

    def __init__(self):
        self.errors, self.held = defaultdict(list), defaultdict(list)
        self.accused, self.right = defaultdict(list), []

    def take(self, held, found, slandered):
        """One class as it was diagnosed."""
        for number, compass in found.compasses.items():
            true_deg = held.compasses[number].offset_deg
            which = "bad" if abs(true_deg) > BIG_DEG else "sound"
            which = "slandered" if number in slandered else which
            error_deg = compass.offset.degrees - true_deg
            self.errors[which].append(error_deg)
            self.held[which].append(abs(error_deg) <= 1.96 * compass.offset.error_deg)
        for reading, truth, verdict in zip(held.readings, held.truths, found.verdicts, strict=True):
            self.right.append(is_right(truth, verdict.cause))
            if not is_accusation(truth):
                which = "slandered" if reading.compass in slandered else "others"
                self.accused[which].append(is_accusation(verdict.cause))

    def lines(self):
        """In words and figures."""
        for which, errors in sorted(self.errors.items()):
            yield (
                f"{which:9} compasses: {len(errors):4} with an offset, rmse "
                f"{root_mean_square(errors):.2f}, 95 % intervals hold {mean(self.held[which]):.3f}"
            )
        for which, accused in sorted(self.accused.items()):
            yield f"sound readings accused, {which}: {mean(accused):.4f} of {len(accused)}"
        yield f"causes right: {mean(self.right):.4f}"


def run(classes, seed):
    """Scores of no log, a right and a wrong one, by name, for one holder a compass and for two."""
    scores = defaultdict(Score)
    for number in range(classes):
        rng = np.random.default_rng((seed, number))
        held = class_of(number, rng)
        right, wrong, slandered = logs(held, rng)
        for name, known in (("none", {}), ("right", right), ("wrong", wrong)):
            found = diagnosis.diagnose(held.answers, held.readings, known=known)
            scores[1 + number % 2, name].take(held, found, slandered)
    return scores


def main():
    """Print it."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--classes", type=int, default=20)
    arguments.add_argument("--seed", type=int, default=1)
    given = arguments.parse_args()
    for (holders, name), score in sorted(run(given.classes, given.seed).items()):
        print(f"{holders} to a compass, log {name}:")
        for line in score.lines():
            print("   ", line)


if __name__ == "__main__":
    main()
