"""How often the intervals of the ground check hold the truth, on the grounds of ground_sets.py.

    python -m tests.benchmark_ground --grounds 100 --seed 7

Prints, by reading noise: the share of 95 % intervals that hold the attraction of bent stations,
that of sound ones, and the error of compasses; the share of bent stations called bent, and of sound
ones called bent. Then the same by number of stations, for compasses of a known error, and for the
noise of practised people.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
from collections import defaultdict
from dataclasses import dataclass, field

from exercises.domain.surveying.ground.attraction import adjust
from exercises.domain.surveying.ground.sighting import Instrument
from tests import ground_sets

STATIONS, NOISES_DEG, BENT = (3, 4, 6, 8, 12), (0.5, 1.0, 2.0, 3.0), (1, 2)


@dataclass
class Score:
    """Claims of some grounds, each with whether it was right."""

    bent: list = field(default_factory=list)
    sound: list = field(default_factory=list)
    compass: list = field(default_factory=list)
    named: list = field(default_factory=list)
    accused: list = field(default_factory=list)

    def add(self, ground, found):
        """What the check found on a ground."""
        for station, truth_deg in ground.attraction_deg.items():
            is_bent = station in ground.bent
            holds = _holds(found.attraction[station], truth_deg)
            (self.bent if is_bent else self.sound).append(holds)
            called = found.judgement(station) == "bent"
            (self.named if is_bent else self.accused).append(called)
        for number, truth_deg in ground.compass_deg.items():
            if (instrument := Instrument(number, "magnetic")) in found.compasses:
                self.compass.append(_holds(found.compasses[instrument], truth_deg))

    def row(self, name):
        """A line of the table."""
        parts = (self.bent, self.sound, self.compass, self.named, self.accused)
        shares = [f"{sum(part) / len(part):.3f}" if part else "-" for part in parts]
        return f"| {name} | {' | '.join(shares)} |"


def _holds(estimate, truth_deg):
    return estimate.low_deg <= truth_deg <= estimate.high_deg


def run(number, seed):
    """The scores by what is varied, each of `number` grounds a design."""
    scores = defaultdict(Score)
    for at in range(number):
        for stations in STATIONS:
            for noise_deg in NOISES_DEG:
                for bent in BENT:
                    ground = ground_sets.draw(
                        f"{seed} {at} {stations} {noise_deg} {bent}",
                        stations=stations,
                        noise_deg=noise_deg,
                        bent=bent,
                        compasses=1 + at % 2,
                    )
                    found = adjust(ground.sightings)
                    for name in (f"noise {noise_deg:g}°", f"{stations} stations", "all"):
                        scores[name].add(ground, found)
        for name, ground in _others(f"{seed} {at}"):
            scores[name].add(ground, adjust(ground.sightings))
    return scores


def _others(seed):
    """Grounds with a compass of a known error, and with another noise."""
    for offset_deg in (4.0, 8.0):
        yield (
            f"compass {offset_deg:g}° off",
            ground_sets.draw(
                f"{seed} {offset_deg}", stations=5, noise_deg=1.0, bent=0, compass_deg=offset_deg
            ),
        )
    yield (
        "practised people, 1°",
        ground_sets.draw(
            f"{seed} practised", stations=6, noise_deg=1.0, bent=1, eye=ground_sets.practised
        ),
    )


def main():
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--grounds", type=int, default=100)
    parser.add_argument("--seed", type=int, default=7)
    chosen = parser.parse_args()
    print("| | bent stations | sound ones | compasses | bent, called so | sound, called bent |")
    print("| --- | --- | --- | --- | --- | --- |")
    for name, score in sorted(run(chosen.grounds, chosen.seed).items()):
        print(score.row(name))


if __name__ == "__main__":
    main()
