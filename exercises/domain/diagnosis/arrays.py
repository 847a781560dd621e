"""Names for the arrays of this room; their axes are told where they stand."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]
