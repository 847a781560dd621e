"""The project: settings, addresses, and how it is served."""

import os

# Every process works on small matrices; where two of them share two cores, numpy's own threads wait
# for one another (a ground check of twelve stations took 0.8 s instead of 0.1 s).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Year and month of the release, with a further number where there is another in that month; the tag
# is the same with a "v". It stands here alone.
VERSION = "2026.11"
