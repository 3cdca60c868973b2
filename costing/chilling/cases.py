"""Read and check cooling cases from JSON; all errors of a case are reported at once, each with its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from costing.chilling.answers import Answer, answer
from costing.chilling.batches import BatchRemedy, batch_remedies
from costing.chilling.baths import ICE_WATER_C, STIRRED_MIN
from costing.chilling.bodies import Block, Body, Cylinder, Slab, Stage
from costing.chilling.case_foods import PERCENT, PREPARATIONS, ReadFood, read_food, read_property_rule
from costing.chilling.case_vessels import Batch, fitted, one_shape, read_batch
from costing.chilling.chill import FREEZES_C, freezing
from costing.chilling.conduction import Case
from costing.chilling.film_coefficients import AIRS, BATH, ICE_BATH, UNCOVERED, Films, Surroundings
from costing.chilling.food_codes import PROFILES
from costing.chilling.layers import Layer
from costing.chilling.plans import Plan, aimed_at
from costing.chilling.profiles import AMBIENT, COOKED, Profile
from costing.chilling.remedies import is_faster, trial
from costing.chilling.report_json import fill_to_json, remedies_to_json, report_to_json
from costing.chilling.reports import report
from costing.chilling.verdicts import NOT_MET
from costing.chilling.vessels import Fill
from costing.contract.case_reading import ROOT, Bound, Reading, kind_of
from costing.contract.documents import read_json
from costing.contract.errors import CostingError, InputErrors, Path

CODES: frozenset[str] = frozenset(
    {"schema", "negative_amount", "out_of_range", "bad_composition", "freezes", "does_not_fit"}
)
"""Codes of what can be wrong with a case."""


_FILM = (" W/m2K", 0.0, 5000.0)
_ON_TOP = ("height_mm", PERCENT, "initial_c")
_TOP_MM = Bound("The layer's thickness", " mm", 1, 500)
BOUNDS: dict[str, Bound] = {
    "diameter_mm": Bound("The diameter", " mm", 2, 2000),
    "length_mm": Bound("The length", " mm", 2, 2000),
    "width_mm": Bound("The width", " mm", 2, 2000),
    "height_mm": Bound("The height", " mm", 1, 1000),
    "minutes": Bound("The stage's time", " minutes", 0.1, 20160),
    "ambient_c": Bound("The air's temperature", " °C", -60, 100),
    "h_top": Bound("The film coefficient at the top", *_FILM),
    "h_side": Bound("The film coefficient at the side", *_FILM),
    "h_bottom": Bound("The film coefficient at the base", *_FILM),
    "stirred_every_min": Bound("The time between two stirrings", " minutes", *STIRRED_MIN),
    "hot_before_min": Bound("The time since it left the heat", " minutes", 0, 20160),
    ICE_BATH: Bound("The ice bath's temperature", " °C", 0, 1, "For other water give its films as numbers."),
}
"""Key to what its number may be: bounds of what a kitchen cools, own choice."""

SHAPES: dict[str, tuple[str, ...]] = {
    "cylinder": ("diameter_mm", "height_mm"),
    "slab": ("height_mm",),
    "block": ("length_mm", "width_mm", "height_mm"),
}
"""Shape to the keys of its sizes."""

WAYS: dict[str, Films] = {**AIRS, ICE_BATH: BATH}
"""What a stage may be in, to its films."""

STIRRABLE: tuple[str, ...] = (ICE_BATH, "room")
"""What a filling may be stirred in; the others are cabinets, whose air gets warm whenever they are opened for that."""

MOST_STAGES = 40
_BEFORE = "hot_before_min"
_KEYS = (PERCENT, "initial_c", "stages", "preparation")
_OPTIONAL = ("air_fraction", "property_rule", "on_top", "rule", _BEFORE)
_AS_A_BODY = (("geometry",), ())
_IN_VESSELS = (("vessel", "mass_kg"), ("mixed_in",))
_STAGE = ("minutes", "ambient_c", "h_top", "h_side", "h_bottom")
_STIRRED = "stirred_every_min"
_WORDS = "in"


@dataclass(frozen=True, slots=True)
class ReadCase:
    """A case as it was read.

    Parameters
    ----------
    plan : Plan
        What cools, under the rule that is named, or that of its preparation.
    cooked : bool
        Whether it was cooked.
    reported : bool
        Whether the answer has a report: a case with vessels, a layer, an ice bath, stirring or a rule.
    """

    plan: Plan
    cooked: bool
    reported: bool


def read_case(document: Any) -> tuple[Case, bool]:
    """Read a case.

    Parameters
    ----------
    document : object
        As for `read_document`.

    Returns
    -------
    tuple of Case and bool
        The case, and whether it was cooked.

    Raises
    ------
    InputErrors
        Everything wrong with it.
    """
    found = read_document(document)
    return found.plan.case, found.cooked


def read_document(document: Any) -> ReadCase:
    """Read a case.

    A stage says its films, or with `in` the kitchen's word for them: a key of `AIRS`, or `ice bath`, whose water is at
    0.5 °C unless `ambient_c` says another temperature from 0 to 1.

    Parameters
    ----------
    document : object
        `geometry`, or `vessel` (`kind`, its sizes inside, if wanted `wall`, `wall_mm`, `lid`, `stands_on`, `count`)
        with `mass_kg`, the whole batch; `composition_mass_percent`, `initial_c`, `stages`, `preparation`. If wanted
        `air_fraction` and `property_rule`; `rule`, the code of a food-safety profile that the report goes by, and
        `hot_before_min`, how long ago it left the heat; `stirred_every_min` in a stage with films or in one of
        `STIRRABLE`; `on_top`, a layer that adds its `height_mm` to the body's, with composition and temperature of its
        own; with a vessel `mixed_in`, an addition of `mass_kg` to the batch that is stirred in at minute 0.

    Returns
    -------
    ReadCase
        The case.

    Raises
    ------
    InputErrors
        Everything wrong with it.
    """
    reading = Reading()
    where, more = _IN_VESSELS if isinstance(document, dict) and "vessel" in document else _AS_A_BODY
    top = reading.object(one_shape(reading, document), (), (*where, *_KEYS), (*_OPTIONAL, *more))
    what = _contents(reading, top)
    stages = _stages(reading, top, UNCOVERED if what.batch is None else what.batch.surroundings)
    if what.batch is not None and what.batch.vessel.lid:
        _refuse_lid(reading, top)
    _refuse_stirred_layers(reading, stages, what.layer)
    preparation = reading.one_of(top, "preparation", (), PREPARATIONS)
    rule = reading.one_of(top, "rule", (), PROFILES) if "rule" in top else None
    before = reading.number(top, _BEFORE, (), BOUNDS[_BEFORE], 0.0) if _BEFORE in top else 0.0
    if reading.errors:
        raise InputErrors(reading.errors)
    cooked = PREPARATIONS[preparation or ""]
    plan = what.plan(stages, PROFILES[rule or (COOKED if cooked else AMBIENT)])
    plan = replace(plan, hot_before_min=before)
    _refuse_freezing(reading, plan.case)
    return ReadCase(plan, cooked, _is_reported(top))


@dataclass(frozen=True, slots=True)
class _Contents:
    """What cools: a body, or a batch in its vessels; what it consists of, and what lies on it."""

    body: Body
    food: ReadFood
    at_c: float
    layer: Layer | None
    batch: Batch | None
    fill: Fill | None

    def plan(self, stages: tuple[Stage, ...], rule: Profile) -> Plan:
        """Return the plan; of no use when there are errors."""
        body = self.body if self.fill is None else self.fill.body
        if self.layer is not None:
            body = replace(body, height_mm=body.height_mm + self.layer.height_mm)
        around = UNCOVERED if self.batch is None else self.batch.surroundings
        food = self.food.food(self.at_c)
        return Plan(body, food, self.food.initial_c, stages, rule, around, self.layer, self.fill)


def _contents(reading: Reading, top: Mapping[str, Any]) -> _Contents:
    before = len(reading.errors)
    batch = read_batch(reading, top)
    body = _body(reading, top["geometry"]) if "geometry" in top else Slab(1)
    food, at_c = read_food(reading, top, ()), read_property_rule(reading, top)
    layer = _on_top(reading, top, at_c)
    # Whether it fits is asked as soon as it can be, so that all errors are reported at once.
    known = len(reading.errors) == before and PERCENT in top and "mass_kg" in top
    if batch is None or not known:
        return _Contents(body, food, at_c, layer, batch, None)
    food = batch.with_addition(food)
    fill = fitted(reading, batch, food.food(at_c).rho, 0.0 if layer is None else layer.height_mm)
    return _Contents(body, food, at_c, layer, batch, fill)


def _is_reported(top: Mapping[str, Any]) -> bool:
    """Return whether a case says more than body, films and stages, so that its answer has a report."""
    worded = any(_WORDS in stage or _STIRRED in stage for stage in top["stages"])
    return worded or bool({"vessel", "on_top", "rule", _BEFORE}.intersection(top))


def _body(reading: Reading, value: Any) -> Body:
    path: Path = ("geometry",)
    shape = reading.one_of(value, "shape", path, SHAPES) if isinstance(value, dict) else None
    keys = SHAPES.get(shape or "", ())
    # Without a shape, any of the sizes may be intended.
    sizes = dict.fromkeys(key for known in SHAPES.values() for key in known)
    owner = reading.object(value, path, ("shape", *keys), () if shape else tuple(sizes))
    size = {key: reading.number(owner, key, path, BOUNDS[key], BOUNDS[key].low) for key in keys or sizes}
    if shape == "cylinder":
        return Cylinder(size["diameter_mm"], size["height_mm"])
    if shape == "block":
        return Block(size["length_mm"], size["width_mm"], size["height_mm"])
    return Slab(size["height_mm"])


def _on_top(reading: Reading, top: Mapping[str, Any], at_c: float) -> Layer | None:
    if "on_top" not in top:
        return None
    path: Path = ("on_top",)
    owner = reading.object(top["on_top"], path, _ON_TOP, ("air_fraction",))
    before = len(reading.errors)
    height, food = reading.number(owner, "height_mm", path, _TOP_MM, _TOP_MM.low), read_food(reading, owner, path)
    usable = len(reading.errors) == before and sum(food.percent.values()) > 0
    return Layer(food.food(at_c), height, food.initial_c) if usable else None


def _stages(reading: Reading, top: Mapping[str, Any], surroundings: Surroundings) -> tuple[Stage, ...]:
    value = top.get("stages")
    if "stages" not in top:
        return ()
    if not isinstance(value, list) or not 1 <= len(value) <= MOST_STAGES:
        found = f"a list of {len(value)}" if isinstance(value, list) else kind_of(value)
        reading.note("schema", ("stages",), f"The stages are {found}. Give a list of 1 to {MOST_STAGES} stages.")
        return ()
    return tuple(_stage(reading, each, ("stages", at), surroundings) for at, each in enumerate(value))


def _stage(reading: Reading, value: Any, path: Path, surroundings: Surroundings) -> Stage:
    if isinstance(value, dict) and _WORDS in value:
        return _stage_in_words(reading, value, path, surroundings)
    owner = reading.object(value, path, _STAGE, (_STIRRED, _WORDS))
    stage = Stage(*(reading.number(owner, key, path, BOUNDS[key], BOUNDS[key].low) for key in _STAGE))
    return replace(stage, stirred_every_min=_stirred(reading, owner, path, stage.minutes))


def _stage_in_words(reading: Reading, value: Mapping[str, Any], path: Path, surroundings: Surroundings) -> Stage:
    word = reading.one_of(value, _WORDS, path, WAYS, "way of cooling")
    bath = word == ICE_BATH
    needed = ("minutes", _WORDS) if bath else ("minutes", _WORDS, "ambient_c")
    owner = reading.object(value, path, needed, ("ambient_c", _STIRRED))
    minutes = reading.number(owner, "minutes", path, BOUNDS["minutes"], BOUNDS["minutes"].low)
    bound, usual = (BOUNDS[ICE_BATH], ICE_WATER_C) if bath else (BOUNDS["ambient_c"], 0.0)
    ambient = reading.number(owner, "ambient_c", path, bound, usual)
    if word is not None and word not in STIRRABLE and _STIRRED in owner:
        reading.note(
            "schema",
            (*path, _STIRRED),
            f"“{_STIRRED}” has no meaning in “{word}”: what stands in a closed cabinet is not stirred. Leave it out, or"
            f" stir it in one of: {'; '.join(STIRRABLE)}.",
        )
        return surroundings.stage(word, minutes, ambient)
    every = _stirred(reading, owner, path, minutes)
    return surroundings.stage(word or next(iter(WAYS)), minutes, ambient, every)


def _stirred(reading: Reading, owner: Mapping[str, Any], path: Path, minutes: float) -> float | None:
    if _STIRRED not in owner:
        return None
    before = len(reading.errors)
    every = reading.number(owner, _STIRRED, path, BOUNDS[_STIRRED], BOUNDS[_STIRRED].low)
    if len(reading.errors) == before and every > minutes and _usable(owner.get("minutes")):
        reading.note(
            "out_of_range",
            (*path, _STIRRED),
            f"The time between two stirrings is {every:g} minutes and the stage lasts {minutes:g}: it would never be"
            f" stirred. Stir it more often, or leave “{_STIRRED}” out.",
        )
    return every


def _usable(minutes: Any) -> bool:
    bound = BOUNDS["minutes"]
    number = isinstance(minutes, int | float) and not isinstance(minutes, bool)
    return number and bound.low <= minutes <= bound.high


def _refuse_lid(reading: Reading, top: Mapping[str, Any]) -> None:
    """Refuse a lid beside films that are given as numbers: these are the films that the food meets, lid and all."""
    stages = top.get("stages")
    for at, stage in enumerate(stages if isinstance(stages, list) else ()):
        if isinstance(stage, dict) and _WORDS not in stage and "h_top" in stage:
            reading.note(
                "schema",
                ("vessel", "lid"),
                f"Stage {at + 1} gives its films as numbers, and a lid changes none of them. Give “h_top” as it is"
                f" under the lid and leave “lid” out, or say with “{_WORDS}” how the air moves.",
            )
            return


def _refuse_stirred_layers(reading: Reading, stages: Sequence[Stage], layer: Layer | None) -> None:
    for at, stage in enumerate(stages):
        if layer is not None and stage.stirred_every_min is not None:
            reading.note(
                "schema",
                ("stages", at, _STIRRED),
                "What is stirred has no layers. Leave out “stirred_every_min”, or give what lies on a batch in a vessel"
                " as “mixed_in”.",
            )


def _refuse_freezing(reading: Reading, case: Case) -> None:
    if min(stage.ambient_c for stage in case.stages) >= FREEZES_C:
        return
    found = freezing(case.run())
    if found is None:
        return
    air = case.stages[found.stage].ambient_c
    reading.note(
        "freezes",
        ("stages", found.stage),
        f"Air at {air:g} °C brings the rim to {FREEZES_C:g} °C after {found.minutes:.1f} minutes of this stage; from"
        f" there it freezes and the estimate no longer holds. Make the stage shorter than that, or its air"
        f" {FREEZES_C:g} °C or warmer.",
    )
    raise InputErrors(reading.errors)


def case_answers(documents: Sequence[tuple[str, bytes | str]]) -> list[Answer]:
    """Compute the results of several cases.

    Parameters
    ----------
    documents : sequence of (str, bytes or str)
        Name and text of each case's document.

    Returns
    -------
    list of dict
        One answer for each, in order.

    Raises
    ------
    InputErrors
        Everything wrong with all cases; none of them gets a result then. With several cases each message names its
        document.
    """
    errors: list[CostingError] = []
    read: list[ReadCase] = []
    for name, text in documents:
        try:
            read.append(read_document(read_json(text, ROOT)))
        except InputErrors as found:
            several = len(documents) > 1
            errors += [replace(e, message=f"{name}: {e.message}") if several else e for e in found.errors]
    if errors:
        raise InputErrors(errors)
    return [_answered(one) for one in read]


def _answered(read: ReadCase) -> Answer:
    found = answer(read.plan.case, cooked=read.cooked)
    if not read.reported:
        return found
    plan, reported = read.plan, report(read.plan)
    more: Answer = {"report": report_to_json(plan, reported)}
    for layer in reported.layers:
        found["food_code"][f"{layer.name}_layer"] = {"complies": all(leg.likely.met for leg in layer.legs)}
    if plan.fill is not None:
        more = {"vessels": fill_to_json(plan.fill, plan), **more}
        if reported.verdict in (NOT_MET, "likely", "untimed"):
            more["remedies"] = remedies_to_json(_remedies(plan), timed=bool(plan.rule.legs))
    return {**found, **more}


def _remedies(plan: Plan) -> Sequence[BatchRemedy]:
    """Return what would keep the rule; where it states no times, what would make it cold sooner."""
    if plan.rule.guidance is None:
        return batch_remedies(plan, now_every_min=_stirred_now(plan))
    aimed, now = aimed_at(plan, plan.rule.guidance.minutes), trial(plan)
    found = batch_remedies(aimed, now_every_min=_stirred_now(plan))
    return [one for one in found if is_faster(one.trial, now)]


def _stirred_now(plan: Plan) -> float | None:
    """Return how often it is stirred in an ice bath already [min]; None where it is not."""
    return min((one.stirred_every_min for one in plan.stages if one.bath and one.stirred_every_min), default=None)
