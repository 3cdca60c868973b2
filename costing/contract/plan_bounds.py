"""Bounds of what a plan reads, and the safe defaults where a kitchen states nothing; chosen by this project."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

MOST_ALIKE: Final = 1000
"""Most stations of one kind that can be alike [each]."""
MOST_PLACES: Final = 10_000
"""Most places one load can take at a station [each]."""
TOLERANCE_C: Final = (0, 200)
"""How far the temperatures of loads in one station can lie apart [°C]."""
KG_PER_PLACE: Final = 10_000
"""Most that can wait on one place [kg]."""
BACK_DAYS: Final = 365
"""Longest that a mold can be away after an event [days]."""
LONGEST_WAIT_MIN: Final = 10_080
"""Longest that a kitchen can let a batch wait by default [min]: a week."""

USUAL_PIECES: Final = 100
"""Most pieces of one product that can be usual for a guest [each]."""

SAFE_TOLERANCE_C: Final = Fraction(10)
"""How far the temperatures of loads in one oven may lie apart where nothing is stated [°C]."""
SAFE_WAY_MIN: Final = 60
"""How long the way to a delivery's place is where nobody entered it [min], for how long its vehicle is away."""
LAX_WAIT_MIN: Final = 10_080
"""How long a batch may wait where nothing is stated, when a no is to rest on what is stated alone [min]: a week."""
SAFE_WARM_WAIT_MIN: Final = 60
"""How long a batch may wait out of the cold where nothing is stated [min]."""
SAFE_COLD_WAIT_MIN: Final = 4320
"""How long a batch may wait in the cold where nothing is stated, and no keeping time either [min]: three days, below
the seven of the US Food Code for what is held at 41 °F (2022, 3-501.17)."""
