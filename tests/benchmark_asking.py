"""What one question now and then tells beyond silent readings, on the worlds of worlds.py.

    python -m tests.benchmark_asking --classes 30 --seed 7

People reply honestly nine times of ten (asking.py). Prints, of silent readings and of those with
replies, the share whose cause is known at 0.9, the share that is named rightly (faults of ground
and compass folded away), and the log loss; and how many questions were asked a reading.
"""

import argparse
import math

import numpy as np

from exercises.domain.diagnosis import diagnosis
from tests.asking import asked
from tests.benchmark import classes
from tests.scoring import is_right, mean, oracle_of
from tests.worlds import WORLDS

KNOWN = 0.9


def figures(held, verdicts):
    """(known, right, log loss) of each reading."""
    for truth, verdict in zip(held.truths, verdicts, strict=True):
        listed = dict([(verdict.cause, verdict.probability), *verdict.alternatives])
        right = sum(share for cause, share in listed.items() if is_right(truth, cause))
        yield (
            float(verdict.probability >= KNOWN),
            float(is_right(truth, verdict.cause)),
            -math.log(max(right, 1e-3)),
        )


def run(world, number, seed):
    """Rows of figures: silent, with replies, the silent limit; and questions a reading."""
    rows, questions, readings = {"silent": [], "asked": [], "limit": []}, 0, 0
    for place, held in enumerate(classes(world, number, seed)):
        silent = diagnosis.diagnose(held.answers, held.readings)
        replied = asked(held, silent.posterior, np.random.default_rng((seed, place, 1)))
        questions += sum(reading.reply is not None for reading in replied)
        readings += len(replied)
        rows["silent"] += figures(held, silent.verdicts)
        rows["asked"] += figures(held, diagnosis.diagnose(held.answers, replied).verdicts)
        rows["limit"] += figures(held, oracle_of(held))
    return rows, questions / readings


def main():
    """Parse the arguments, run, print."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--classes", type=int, default=20)
    arguments.add_argument("--seed", type=int, default=1)
    given = arguments.parse_args()
    for world in WORLDS:
        rows, share = run(world, given.classes, given.seed)
        print(f"{world}: {share:.3f} questions a reading")
        for name, found in rows.items():
            known, right, loss = (mean(column) for column in zip(*found, strict=True))
            print(f"  {name:8} known {known:.3f}  right {right:.3f}  log loss {loss:.3f}")


if __name__ == "__main__":
    main()
