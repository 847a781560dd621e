"""People in groups of as nearly the same size as their number allows."""

from __future__ import annotations

import random
from collections.abc import Sequence


def shuffled(people: Sequence[str], number: int, rng: random.Random) -> list[list[str]]:
    """People in so many groups by chance; sizes differ by one at most, larger groups first. With
    fewer people than groups there are as many groups as people. Raises ValueError for less than one
    group.

    >>> [len(group) for group in shuffled("abcdefg", 3, random.Random(1))]
    [3, 2, 2]
    """
    if number < 1:
        raise ValueError("There is no dividing into fewer groups than one.")
    order = list(people)
    rng.shuffle(order)
    return [order[first::number] for first in range(min(number, len(order)))]
