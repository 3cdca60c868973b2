"""Cooling and warming of a dessert in its own shape: an estimate by heat conduction, in numpy alone.

Not modeled: evaporation, freezing, refrigerator air that warms under its load, food that is stacked or boxed warm, more
than two layers, an ice bath that runs out of ice. `ranges` computes a range for each case, and `cautions` says how wide
it typically is. An estimate does not replace a probe thermometer at the warmest point, nor the food code of the
place.
"""

from costing.chilling.answers import answer
from costing.chilling.batches import MOST_VESSELS, STIR_MIN, BatchRemedy, batch_remedies, with_fill
from costing.chilling.baths import ICE_WATER_C, STIRRED_MIN, ice_kg
from costing.chilling.bodies import Block, Body, Cylinder, Slab, Stage, film_through
from costing.chilling.cases import case_answers, read_case
from costing.chilling.cautions import LATER, SOONER, THICK_LEAST, THICK_MOST
from costing.chilling.chill import COLD_START_C, FREEZES_C, Freezing, core_times, freezing, warm_up
from costing.chilling.composition import MOST_AIR, Food, food_of
from costing.chilling.conduction import Case, Run
from costing.chilling.crossings import WARM_C
from costing.chilling.film_coefficients import (
    AIRS,
    BATH,
    CARRIED,
    ICE_BATH,
    WALLS,
    Films,
    Surroundings,
    Wall,
    away_stage,
)
from costing.chilling.food_codes import PROFILES
from costing.chilling.layer_reports import LayerReport
from costing.chilling.layers import Layer, Part, mixed_start
from costing.chilling.mixtures import Mixture, MixtureError, Share, mixed
from costing.chilling.places import DEEP_MM
from costing.chilling.plans import (
    BULK_MM,
    LONGEST_MIN,
    Doubt,
    Plan,
    freezes,
    freezes_as_stated,
    lengthened,
    ruling_clock,
)
from costing.chilling.profiles import (
    AMBIENT,
    COLD_C,
    COOKED,
    HOT_C,
    LUKEWARM_C,
    ClauseKind,
    Guidance,
    Kind,
    Leg,
    LegResult,
    Profile,
    Seen,
    TimeOutClause,
    due_times,
    results,
)
from costing.chilling.ranges import FAST, LIKELY, POINTS, SLOW, Point, Range, cooling_range, warming_range
from costing.chilling.remedies import Sizes, Trial, depth, diameter, trial, trials, with_air, without_room_time
from costing.chilling.report_json import case_to_json, report_to_json
from costing.chilling.reports import Curve, Reached, Report, report
from costing.chilling.time_out import TimeOutLimit, WarmingTimes, stated_time_out, time_out_limit, warming_times
from costing.chilling.verdicts import NOT_MET, LegRange, Verdict, is_unmet, may_never, verdict_of
from costing.chilling.vessels import (
    HOTEL_PAN,
    SHEET_TRAY,
    VESSEL_KINDS,
    DoesNotFit,
    Fill,
    Vessel,
    VesselKind,
    divided,
    filled,
    holds_kg,
    vessels_needed,
)

__all__ = [
    "AIRS",
    "AMBIENT",
    "BATH",
    "BULK_MM",
    "CARRIED",
    "COLD_C",
    "COLD_START_C",
    "COOKED",
    "DEEP_MM",
    "FAST",
    "FREEZES_C",
    "HOTEL_PAN",
    "HOT_C",
    "ICE_BATH",
    "ICE_WATER_C",
    "LATER",
    "LIKELY",
    "LONGEST_MIN",
    "LUKEWARM_C",
    "MOST_AIR",
    "MOST_VESSELS",
    "NOT_MET",
    "POINTS",
    "PROFILES",
    "SHEET_TRAY",
    "SLOW",
    "SOONER",
    "STIRRED_MIN",
    "STIR_MIN",
    "THICK_LEAST",
    "THICK_MOST",
    "VESSEL_KINDS",
    "WALLS",
    "WARM_C",
    "BatchRemedy",
    "Block",
    "Body",
    "Case",
    "ClauseKind",
    "Curve",
    "Cylinder",
    "DoesNotFit",
    "Doubt",
    "Fill",
    "Films",
    "Food",
    "Freezing",
    "Guidance",
    "Kind",
    "Layer",
    "LayerReport",
    "Leg",
    "LegRange",
    "LegResult",
    "Mixture",
    "MixtureError",
    "Part",
    "Plan",
    "Point",
    "Profile",
    "Range",
    "Reached",
    "Report",
    "Run",
    "Seen",
    "Share",
    "Sizes",
    "Slab",
    "Stage",
    "Surroundings",
    "TimeOutClause",
    "TimeOutLimit",
    "Trial",
    "Verdict",
    "Vessel",
    "VesselKind",
    "Wall",
    "WarmingTimes",
    "answer",
    "away_stage",
    "batch_remedies",
    "case_answers",
    "case_to_json",
    "cooling_range",
    "core_times",
    "depth",
    "diameter",
    "divided",
    "due_times",
    "filled",
    "film_through",
    "food_of",
    "freezes",
    "freezes_as_stated",
    "freezing",
    "holds_kg",
    "ice_kg",
    "is_unmet",
    "lengthened",
    "may_never",
    "mixed",
    "mixed_start",
    "read_case",
    "report",
    "report_to_json",
    "results",
    "ruling_clock",
    "stated_time_out",
    "time_out_limit",
    "trial",
    "trials",
    "verdict_of",
    "vessels_needed",
    "warm_up",
    "warming_range",
    "warming_times",
    "with_air",
    "with_fill",
    "without_room_time",
]
