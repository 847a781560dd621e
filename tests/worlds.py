"""Three worlds of classes, each drawn anew for each class, so that no fixed assumption fits all of
a world.

    WORLDS["messy"](np.random.default_rng(3))   # a Setting, for simulation.hold

Shares, rates, spreads and sizes: common practice, no source, but for `practised`, whose figures
are those of fixtures/published/real_readings.csv.
"""

import math
from dataclasses import replace

from tests.simulated_class import PLACES, Setting

MIXES = (
    ("magnetic",),
    ("true",),
    ("magnetic", "true"),
    ("magnetic", "true", "true", "grid"),
    ("grid", "magnetic"),
    ("grid",),
    ("true", "grid"),
)
TINY_SHARE = 0.1  # of the classes: one to five people


def plain(rng):
    """A clean class: normal scatter, few slips, habits nearly always followed, a compass each or
    between two, some of them with a setting left on, which shows as their person's own offset.
    """
    bent = int(rng.choice([0, 0, 0, 1, 2]))
    return replace(
        _any_class(rng),
        tails="normal",
        scatter_deg=_between(rng, 1.3, 3.0),
        scatter_log_sd=_between(rng, 0.2, 0.4),
        scatter_limits_deg=(0.5, 8.0),
        slip_rate=_between(rng, 0.02, 0.07),
        class_rate_shape=None,
        habit_share=_between(rng, 0.1, 0.4),
        followed=(0.95, 1.0),
        own_sd_deg=_between(rng, 0.2, 1.2),
        own_far_share=_between(rng, 0.0, 0.2),
        own_far_deg=(4.0, 30.0),
        people_to_a_compass=int(rng.integers(1, 3)),
        bad_compasses=0,
        compass_sd_deg=0.3,
        fault_stations=bent,
    )


def messy(rng):
    """A class in which much goes wrong at once: wide tails, tired, careless and copying people,
    fives, two habits, compasses handed on, ground that changes.
    """
    common = _any_class(rng)
    people_to_a_compass = int(rng.integers(1, 4))
    count = math.ceil(common.people / people_to_a_compass)
    return replace(
        common,
        tails="t",
        freedom=_between(rng, 2.5, 5.0),
        scatter_deg=_between(rng, 2.0, 4.0),
        scatter_log_sd=_between(rng, 0.3, 0.5),
        scatter_limits_deg=(0.7, 12.0),
        is_tiring=True,
        tired_more=_between(rng, 0.5, 1.5),
        tires_slips=True,
        slip_rate=_between(rng, 0.08, 0.2),
        class_rate_shape=None,
        slip_shape=_between(rng, 0.7, 2.0),
        habit_share=_between(rng, 0.1, 0.5),
        followed=(_between(rng, 0.6, 0.9), 1.0),
        two_habits_share=_between(rng, 0.0, 0.4),
        people_to_a_compass=people_to_a_compass,
        passed_every=int(rng.integers(2, 6)),
        # never more than a third of them: a class whose needles mostly lie has no truth to find
        bad_compasses=min(int(rng.integers(1, 4)), max(1, count // 3)),
        bad_offset_deg=(4.0, 10.0),
        reversed_compasses=int(count > 2 and rng.random() < 0.25),
        copier_share=_between(rng, 0.0, 0.25),
        fives_share=_between(rng, 0.0, 0.5),
        poor_sight_rate=_between(rng, 0.003, 0.015),
        fault_stations=int(rng.integers(0, 4)),
        change_share=_between(rng, 0.2, 0.8),
        moved_targets=int(rng.integers(0, 3)),
    )


def practised(rng):
    """Adults who read often: fine numbers, wide tails, hardly a mistake but tens, and reversals
    several in a row. Figures: fixtures/published/real_readings.csv.
    """
    return replace(
        _any_class(rng),
        accuracies_m=(0.1, 0.5),
        tails="t",
        freedom=_between(rng, 3.0, 4.0),
        scatter_deg=0.85,  # a person's sd over some 25 readings comes to about 1.0 with it
        scatter_log_sd=0.45,
        scatter_limits_deg=(0.2, 5.0),
        own_sd_deg=0.4,
        own_far_share=0.0,
        slip_rate=0.008,
        class_rate_shape=None,
        slip_shares=(("ten_off", 1.0),),
        poor_sight_rate=0.01,  # half of them beyond 8 degrees, which is the half that is counted
        reversed_run_rate=0.003,
        mils_figure_rate=0.0007,
        habit_share=_between(rng, 0.0, 0.05),
        people_to_a_compass=1,
        bad_compasses=0,
        compass_sd_deg=0.0,  # what is published of offsets is the person's and the compass's
        graduations=(1.0,),
        set_share=0.0,
        interpolating_share=0.0,
        likes_digits=True,
        ground_sd_deg=0.1,
        local_deg=0.1,
        fault_stations=int(rng.random() < 0.1),
    )


WORLDS = {"plain": plain, "messy": messy, "practised": practised}


def _any_class(rng):
    """What every world draws alike: how many people and tasks, where, and of which kinds."""
    is_tiny = rng.random() < TINY_SHARE
    return Setting(
        people=int(rng.integers(1, 6) if is_tiny else rng.integers(6, 41)),
        tasks=int(rng.integers(6, 21)),
        declination_deg_about=int(rng.choice(list(PLACES))),
        norths=MIXES[rng.integers(len(MIXES))],
        follow_share=float(rng.choice([0, 0.15, 0.3])),
        convert_share=float(rng.choice([0, 0.1, 0.2])),
        accuracies_m=((0.1, 0.5), (0.5, 3.0), (2.0, 5.0))[rng.integers(3)],
        graduations=((2.0,), (1.0, 2.0, 2.0, 5.0), (5.0,), (2.0, 5.0))[rng.integers(4)],
        set_share=float(rng.choice([0, 0, 0.2, 1])),
    )


def _between(rng, least, most):
    """A number between two."""
    return float(rng.uniform(least, most))
