"""Probabilities and intervals as they are said."""

from ..languages import tell, tell_signed

PROBABLE, POSSIBLE = 0.5, 0.2  # from here a fault is said, and looked at


def percent(probability):
    """A probability as it is said: never as certainty.

    >>> percent(0.9999), percent(0.874), percent(0.002)
    ('>99%', '87%', '<1%')
    """
    return ">99%" if probability > 0.99 else "<1%" if probability < 0.01 else f"{probability:.0%}"


def interval(bias):
    """A bias with its 95 % interval."""
    low_deg, high_deg = bias.degrees - 1.96 * bias.error_deg, bias.degrees + 1.96 * bias.error_deg
    return tell(
        "{degrees}° (95% interval {low} to {high}°)",
        degrees=tell_signed(bias.degrees, 1),
        low=tell_signed(low_deg, 1),
        high=tell_signed(high_deg, 1),
    )
