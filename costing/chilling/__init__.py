"""Cooling and warming of a dessert in its own shape: an estimate by heat conduction, in numpy alone.

What it leaves out: evaporation, freezing, refrigerator air that warms under its load, food that is stacked or boxed
warm, water baths, layers of different food. Typical error of a time is -25 to +40 %; `ranges` says how far off a case
may be. An estimate does not replace a probe thermometer at the warmest point, nor the food code of the place.
"""

from costing.chilling.answers import answer
from costing.chilling.bodies import Block, Cylinder, Slab, Stage, film_through
from costing.chilling.cases import case_answers, read_case
from costing.chilling.cautions import CAUTIONS
from costing.chilling.chill import Case, core_times, freezing, warm_up
from costing.chilling.composition import Food, food_of
from costing.chilling.conduction import Run
from costing.chilling.limits import Cooling, Largest, largest, leg_results
from costing.chilling.profiles import PROFILES, Leg, LegResult, Profile, TimeOut, results
from costing.chilling.ranges import Range, cooling_range, warming_range

__all__ = [
    "CAUTIONS",
    "PROFILES",
    "Block",
    "Case",
    "Cooling",
    "Cylinder",
    "Food",
    "Largest",
    "Leg",
    "LegResult",
    "Profile",
    "Range",
    "Run",
    "Slab",
    "Stage",
    "TimeOut",
    "answer",
    "case_answers",
    "cooling_range",
    "core_times",
    "film_through",
    "food_of",
    "freezing",
    "largest",
    "leg_results",
    "read_case",
    "results",
    "warm_up",
    "warming_range",
]
