"""Step 8 of the way: the commands that a builder types."""

import os

# One thread for the linear algebra: its matrices are small, flights take the cores, and threads
# that wait for each other make margins five times slower (measured). Set before numpy's import.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
