"""What a class's world makes of it, as the model's own rates: for a model that is told them, and
for the oracle.
"""

import math

import numpy as np

from exercises.domain.diagnosis.priors import HABITS, SIGMAS_DEG, Priors, Rates
from exercises.domain.diagnosis.residuals import CODES
from exercises.domain.mistakes import causes
from tests.simulated_class import HABITS as HABIT_SHARES
from tests.simulation import SLIPS

CERTAIN = 1e6  # people and readings that what is told counts for
LEAST = 1e-4  # nothing is impossible
# The share of readings in a tail three times as wide that fits Student's t best, by degrees of
# freedom (least squares of the density, by hand); 3 to 4 in open cave surveys.
TAILS = ((2.5, 0.22), (3.0, 0.17), (4.0, 0.11), (5.0, 0.08))


def rates_of(held) -> Rates:
    """The rates of a class, by the setting that it was drawn from."""
    setting = held.setting
    careless = setting.slip_rate * (1.0 + setting.tired_more / 2.0 * setting.tires_slips)
    shares = dict(setting.slip_shares) or {code: share for code, (_, share) in SLIPS.items()}
    slips = {code: max(LEAST, careless * shares.get(code, 0.0)) for code in CODES if code != "ok"}
    slips |= {"reversed": slips["reversed"] + setting.reversed_run_rate}
    slips |= {code: 1e-6 for code in ("compass_offset", "station_fault")}
    slips["ok"] = 1.0 - sum(slips.values())
    return Rates(
        habits=_shares([_habit(setting, code) for code in HABITS]),
        sigmas=_shares([_scatter(setting, sigma) for sigma in SIGMAS_DEG]),
        slips=tuple(slips[code] for code in CODES),
        followed=min(0.99, sum(setting.followed) / 2.0),
        own_deg=max(setting.own_sd_deg, 0.2) if setting.passed_every else _with_compass(setting),
        own_large=max(setting.own_far_share, 0.002),
        tail=_tail(setting),
        poor=max(setting.poor_sight_rate, LEAST),
        copied=max(setting.copier_share * sum(setting.copied_share) / 2.0, LEAST),
        care=min(20.0, setting.slip_shape),
        ground=min(0.6, max(setting.fault_stations / len(held.stations), 0.01)),
    )


def told(held) -> Priors:
    """The same as priors that nothing moves."""
    return Priors(**vars(rates_of(held)), people=CERTAIN, readings=CERTAIN)


def _with_compass(setting):
    return math.hypot(setting.own_sd_deg, setting.compass_sd_deg)


def _shares(weights):
    weights = np.maximum(weights, LEAST)
    return tuple((weights / weights.sum()).tolist())


def _habit(setting, code):
    """The share of people with a habit."""
    if code == "ok":
        return 1.0 - setting.habit_share
    parts = causes.parts(code)
    (first,) = [part for part in parts if part != "reversed"] or ["reversed"]
    share = setting.habit_share * HABIT_SHARES.get(first, 0.0)
    if not first.startswith("declination"):
        return share
    both = setting.two_habits_share
    return share * (both if len(parts) > 1 else 1.0 - both)


def _scatter(setting, sigma_deg):
    """The density of a scatter: lognormal."""
    middle = setting.scatter_deg * (1.0 + setting.tired_more / 2.0 * setting.is_tiring)
    off = math.log(sigma_deg / middle) / setting.scatter_log_sd
    return math.exp(-0.5 * off * off)


def _tail(setting):
    """The share of the tail."""
    if setting.tails == "normal":
        return 0.003
    if setting.tails != "t":
        return 0.08
    return float(np.interp(setting.freedom, *zip(*TAILS, strict=True)))
