"""Short helpers for tests of chilling: a stage by the names of a kitchen, and the minutes of a plan."""

from costing.chilling import Plan, Stage, Surroundings, trial


def stage_in(
    air: str, minutes: float, ambient_c: float, *, wall: str = "metal", base: str = "open", covered: bool = False
) -> Stage:
    """Return a stage of cooling [min, °C]."""
    return Surroundings(wall, base, covered).stage(air, minutes, ambient_c)


def slow_minutes(plan: Plan) -> float | None:
    """Return when the core is cold at the slow end, as windows plan with it [min]."""
    return trial(plan).cold_slow


def likely_minutes(plan: Plan) -> float | None:
    """Return when the core is cold as given [min]."""
    return trial(plan).cold_likely
