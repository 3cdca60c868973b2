"""Measurements; not tests. One thread for NumPy, so that its CPU time is that of the arithmetic."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")
