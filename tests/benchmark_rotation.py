"""How good rotations are: the plain loop, the search, and with --solver an integer program.

    python -m tests.benchmark_rotation --sizes 4x4,6x6,8x5 --seed 0
    python -m pip install highspy==1.16.0; python -m tests.benchmark_rotation --solver 30

Prints, by stations and groups on invented ground, for the loop one way and for the search: how
often somebody is behind the same group again, the most stations at which somebody comes after the
same group, metres walked on the average and at most, and processor seconds. --solver gives the
integer program (HiGHS, one thread) so many seconds: the sum of average and most metres, its lower
bound and how it ended. It is let off the promise that nobody is behind the same group twice.
"""

import argparse
import itertools
import math
import time
from dataclasses import replace

import numpy as np

from exercises.domain.running.rotation import apart_m, built, grids, ground_of, rotate
from tests.rotations import problem_of

SIZES = "3x3,4x3,4x4,5x3,5x5,6x4,6x6,7x7,8x5,8x8,10x10,12x6,12x12"


def invented(stations, groups, seed):
    """Stations roughly round a ring, 100 to 200 m from its middle."""
    draw = np.random.default_rng([seed, stations])
    turns = np.sort(draw.uniform(0.0, 2.0 * math.pi, stations))
    radii_m = draw.uniform(100.0, 200.0, stations)
    places = {
        f"S{at}": (radius_m * math.sin(turn), radius_m * math.cos(turn))
        for at, (turn, radius_m) in enumerate(zip(turns, radii_m, strict=True))
    }
    problem = problem_of(places, groups)
    # one north and kind for all, so that nothing but walks and repeats is weighed
    alike = (replace(one, asked=problem.stations[0].asked) for one in problem.stations)
    return replace(problem, stations=tuple(alike))


def figures(rotation):
    walked_m = rotation.walked_m.values()
    mean_m = sum(walked_m) / len(walked_m)
    return f"{rotation.behind:4} {rotation.follows:3} {mean_m:6.0f} {max(walked_m):6.0f}"


def solved(problem, seconds):
    """The least sum of average and most metres, its bound, and how the solver ended."""
    import highspy  # a benchmark's alone: the product does without

    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("time_limit", float(seconds))
    solver.setOptionValue("threads", 1)
    groups, count, far_m = len(problem.groups), len(problem.stations), apart_m(problem)
    numbers = range(count)
    at = {
        key: solver.addBinary() for key in itertools.product(range(groups), numbers, numbers)
    }  # group, station, round
    legs = {
        (group, one, other, turn): solver.addVariable(0, 1)
        for group in range(groups)
        for one, other in itertools.permutations(numbers, 2)
        for turn in range(count - 1)
    }
    most_m = solver.addVariable(0)
    for group in range(groups):
        for one in numbers:
            solver.addConstr(solver.qsum([at[group, one, turn] for turn in numbers]) == 1)
            solver.addConstr(solver.qsum([at[group, other, one] for other in numbers]) == 1)
        for one, turn in itertools.product(numbers, range(count - 1)):
            others = [other for other in numbers if other != one]
            going = solver.qsum([legs[group, one, other, turn] for other in others])
            coming = solver.qsum([legs[group, other, one, turn] for other in others])
            solver.addConstr(going == at[group, one, turn])
            solver.addConstr(coming == at[group, one, turn + 1])
        mine = [legs[key] * far_m[key[1]][key[2]] for key in legs if key[0] == group]
        solver.addConstr(solver.qsum(mine) <= most_m)
    for one, turn in itertools.product(numbers, repeat=2):
        solver.addConstr(solver.qsum([at[group, one, turn] for group in range(groups)]) <= 1)
    for ahead, after in itertools.permutations(range(groups), 2):
        follows = []
        for one, turn in itertools.product(numbers, range(count - 1)):
            follows.append(solver.addVariable(0, 1))
            both = at[ahead, one, turn] + at[after, one, turn + 1]
            solver.addConstr(follows[-1] >= both - 1)
        solver.addConstr(solver.qsum(follows) <= problem.follow_limit)
    mean_m = solver.qsum([legs[key] * (far_m[key[1]][key[2]] / groups) for key in legs])
    solver.minimize(mean_m + most_m)
    info = solver.getInfo()
    has_one = info.primal_solution_status == 2
    worth_m = f"{info.objective_function_value:.0f}" if has_one else "none"
    return f"{worth_m} bound {info.mip_dual_bound:.0f} {solver.getModelStatus().name}"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--sizes", default=SIZES)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--solver", type=float, default=0.0, metavar="SECONDS")
    told = parser.parse_args()
    for size in told.sizes.split(","):
        stations, groups = map(int, size.split("x"))
        problem = invented(stations, groups, told.seed)
        one_way = built(problem, ground_of(problem).stations(grids(problem, None)[0]))
        begun = time.process_time()
        found = rotate(problem, rng=np.random.default_rng(told.seed))
        spent = time.process_time() - begun
        line = f"{size:>6} | {figures(one_way)} | {figures(found)} {spent:4.1f} s"
        print(line, "|", solved(problem, told.solver) if told.solver else "", flush=True)


if __name__ == "__main__":
    main()
