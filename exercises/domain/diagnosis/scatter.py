"""How a sound reading scatters round what was meant: narrow, three times as wide, or a poor sight.

The shape is that of practised adults' readings in open cave surveys (README.md of
fixtures/published): Student's t with 3 to 4 degrees of freedom, which 85 % narrow and 15 % three
times as wide describe as well, and a broad part beside it. How much is in each part is learnt from
each class (`priors.Rates`).
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats, Singles

TAIL_WIDER = 3.0
POOR_SIGMA_DEG = 12.0
RECKONED_SIGMA_DEG = 0.7  # of a sum on paper; common practice, no source
STEPS = 64  # in which the normal distribution's integral is tabulated, a sigma
REACH = 8.0  # sigmas, beyond which nothing is left
WIDE_CELL_DEG = 1.0  # half widths beyond which a cell is integrated, not taken at its middle
ROOT = np.float32(1.0 / np.sqrt(2.0 * np.pi))


def _tabulated() -> Singles:
    """Phi at REACH sigmas below to REACH above, in STEPS a sigma, by the trapezoid rule on a grid
    8 times finer.
    """
    fine = 8
    at = np.linspace(-REACH, REACH, int(2 * REACH * STEPS * fine) + 1)
    density = np.exp(-0.5 * at**2) / np.sqrt(2.0 * np.pi)
    steps = (density[1:] + density[:-1]) / 2.0 / (STEPS * fine)
    return np.concatenate([[0.0], np.cumsum(steps)])[::fine].astype(np.float32)


PHI = _tabulated()


def normal(off_deg: Singles, sigma_deg: Singles) -> Singles:
    """A normal density, per degree. The arguments are broadcast."""
    scaled = off_deg / sigma_deg
    return np.exp(np.float32(-0.5) * scaled * scaled) * (ROOT / sigma_deg)


def cell_normal(off_deg: Singles, half_deg: Singles, sigma_deg: Singles) -> Singles:
    """The mean of a normal density over a cell of some half width, per degree."""
    upper, lower = _phi((off_deg + half_deg) / sigma_deg), _phi((off_deg - half_deg) / sigma_deg)
    return (upper - lower) / (2.0 * half_deg)


def _phi(scaled: Singles) -> Singles:
    """The normal distribution's integral, from the table, within 0.003."""
    at = scaled * np.float32(STEPS) + np.float32(REACH * STEPS + 0.5)
    return PHI[np.clip(at, 0, len(PHI) - 1).astype(np.int32)]


def parts(tail: float, poor: float) -> tuple[float, float, float]:
    """The shares of what scatters narrow, wide, and of poor sights."""
    return (1.0 - tail) * (1.0 - poor), tail * (1.0 - poor), poor


def variances(sigma_deg: Floats, fixed_var: Floats) -> tuple[Floats, Floats, Floats]:
    """The variances of the three parts, square degrees: a person's own, which is widened, and what
    is not theirs, which is not.
    """
    own = sigma_deg**2
    return (
        own + fixed_var,
        own * TAIL_WIDER**2 + fixed_var,
        own + POOR_SIGMA_DEG**2 + fixed_var,
    )


def mixture(
    off_deg: Singles,
    half_deg: Singles | None,
    own_var: Singles,
    fixed_var: Singles,
    shares: tuple[float, float, float],
) -> Singles:
    """The density of a sound reading that is off by some degrees, per degree; over cells of a half
    width where one is given. The arguments are broadcast.
    """
    total: Singles | float = 0.0
    for share, by in zip(shares[:2], (1.0, TAIL_WIDER**2), strict=True):
        sigma = np.sqrt(own_var * np.float32(by) + fixed_var)
        part = normal(off_deg, sigma) if half_deg is None else cell_normal(off_deg, half_deg, sigma)
        total = total + np.float32(share) * part
    poor = np.sqrt(np.float32(POOR_SIGMA_DEG**2) + fixed_var)
    broad = normal(off_deg, poor) if half_deg is None else cell_normal(off_deg, half_deg, poor)
    return total + np.float32(shares[2]) * broad
