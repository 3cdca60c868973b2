"""How far an estimate of cooling may be off: figures of the cautions that accompany every estimate."""

from __future__ import annotations

from typing import Final

SOONER, LATER = (15, 35), (35, 95)
"""How much sooner than likely food is cold (5 °C) at the fast end of its range, and how much later at the slow end [%].

From the least to the most in the cases computed apart from this project, rounded outwards to five: a test computes them
again. The closer the refrigerator's air is to 5 °C, the wider the range."""

THICK_MOST: Final = 2
"""The longest that thick fillings left standing were measured to take, as a multiple of the estimate."""

THICK_LEAST: Final = 0.4
"""The shortest of them: pots and buckets from 195 mm on (see `costing.chilling.plans.Doubt`). A test
computes it again."""
