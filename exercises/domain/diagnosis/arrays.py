"""Names for the arrays of this room; their axes are told where they stand."""

from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[Any]  # float32, where memory counts
Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]


def summed(weights: Floats, at: Indices, length: int) -> Floats:
    """The sum of the weights at each index: (length,). NumPy's stubs take its sums for counts."""
    return cast(Floats, np.bincount(at, weights, length))


def places_of(at: Indices, length: int) -> list[Indices]:
    """Where each of the numbers from 0 stands among some, in order: `length` lists of indices.

    >>> [places.tolist() for places in places_of(np.array([2, 0, 2]), 3)]
    [[1], [], [0, 2]]
    """
    order = np.argsort(at, kind="stable")
    return np.split(order, np.searchsorted(at[order], np.arange(1, length)))
