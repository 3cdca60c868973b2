"""Bounds of the figures that cooling reads, for pages and for imported Books; chosen by this project."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

LEAVES_C: Final = (-5, 150)
"""Coldest and hottest that a step can leave a middle at [°C]."""
STATION_C: Final = (-80, 500)
"""Coldest and hottest air of a station [°C]."""
ROOM_C: Final = (0, 50)
"""Coldest and hottest air of a kitchen [°C]."""
AWAY_C: Final = (-20, 60)
"""Coldest and hottest air on the way and at the table [°C]."""
STIR_MIN: Final = (1, 30)
"""How often a batch in an ice bath can be stirred [min]; seldomer counts as not stirred."""
BATH_TO_C: Final = (3, 60)
"""Coldest and hottest that a batch can be at the end of its ice bath [°C]; ice water takes none colder in good time."""
BATH_MIN: Final = (1, 1440)
"""How long a batch can stay in an ice bath [min]."""
LONGEST_OUT_MIN: Final = 360
"""Longest limit of the house out of the cold [min]: the longest of any rule read (US Food Code 3-501.19(C))."""
MOST_AIR: Final = Fraction("0.74")
"""Most of a recipe's volume that can be air [share]."""
COMPOSITION_SUM: Final = (90, 110)
"""What the six parts of a composition may add up to [%].

Figures of labels are rounded, and alcohol has no place among them. Beyond this something was mistyped.
"""
