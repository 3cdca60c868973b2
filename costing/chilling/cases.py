"""Read and check cooling cases from JSON; all errors of a case are reported at once, each with its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from costing.chilling.answers import Answer, answer
from costing.chilling.bodies import Block, Body, Cylinder, Slab, Stage
from costing.chilling.chill import FREEZES_C, freezing
from costing.chilling.composition import COMPONENTS, MOST_AIR, PROPERTY_TEMPERATURE_C, food_of
from costing.chilling.conduction import Case
from costing.contract.documents import read_json
from costing.contract.errors import CostingError, InputErrors, Path, pointer

CODES: frozenset[str] = frozenset({"schema", "negative_amount", "out_of_range", "bad_composition", "freezes"})
"""Codes of what can be wrong with a case."""

ROOT = "case"


@dataclass(frozen=True, slots=True)
class Bound:
    """The allowed range of a number.

    Parameters
    ----------
    name : str
        Its name in sentences.
    unit : str
        Its unit, with a space before it when it has one.
    low : float
        The least.
    high : float
        The most.
    why : str
        An additional sentence.
    """

    name: str
    unit: str
    low: float
    high: float
    why: str = ""


_FILM = (" W/m2K", 0.0, 5000.0)
BOUNDS: dict[str, Bound] = {
    "diameter_mm": Bound("The diameter", " mm", 2, 2000),
    "length_mm": Bound("The length", " mm", 2, 2000),
    "width_mm": Bound("The width", " mm", 2, 2000),
    "height_mm": Bound("The height", " mm", 1, 1000),
    "air_fraction": Bound("The share of air", "", 0, MOST_AIR, "Beyond that there is more foam than food."),
    "initial_c": Bound("The temperature at the start", " °C", FREEZES_C, 150, "Thawing is not worked out here."),
    "temperature_c": Bound("The temperature for the properties", " °C", 0, 150),
    "minutes": Bound("The stage's time", " minutes", 0.1, 20160),
    "ambient_c": Bound("The air's temperature", " °C", -60, 100),
    "h_top": Bound("The film coefficient at the top", *_FILM),
    "h_side": Bound("The film coefficient at the side", *_FILM),
    "h_bottom": Bound("The film coefficient at the base", *_FILM),
}
"""Key to what its number may be: bounds of what a kitchen cools, own choice."""

SHAPES: dict[str, tuple[str, ...]] = {
    "cylinder": ("diameter_mm", "height_mm"),
    "slab": ("height_mm",),
    "block": ("length_mm", "width_mm", "height_mm"),
}
"""Shape to the keys of its sizes."""

PREPARATIONS: dict[str, bool] = {"cooked (3-501.14 A)": True, "from ambient ingredients (3-501.14 B)": False}
"""How food is prepared, to whether it is cooked."""

RULES: dict[str, str] = {
    "k": "parallel",
    "air": "Maxwell-Eucken",
    "rho": "1/sum(x/rho)",
    "cp": "mass weighted",
}
"""How properties are mixed: what the text of each begins with."""

MOST_STAGES = 40
_ENDLESS = 1e300
_WHOLE, _WHOLE_OFF = 100.0, 1.0
_KEYS = ("geometry", "composition_mass_percent", "initial_c", "stages", "preparation")
_OPTIONAL = ("air_fraction", "property_rule")
_STAGE = ("minutes", "ambient_c", "h_top", "h_side", "h_bottom")


@dataclass(slots=True)
class _Reading:
    """Reads numbers and texts from a document and records errors; a wrong value is replaced by a placeholder."""

    errors: list[CostingError] = field(default_factory=list)

    def note(self, code: str, path: Path, message: str) -> None:
        self.errors.append(CostingError(code, pointer(ROOT, path), message))

    def object(self, value: Any, path: Path, needed: Sequence[str], allowed: Sequence[str] = ()) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            self.note("schema", path, f"This is {_kind(value)}. Give an object with {', '.join(needed or allowed)}.")
            return {}
        known = (*needed, *allowed)
        for key in value:
            if key not in known:
                self.note("schema", (*path, key), f"“{key}” is not known here. Known are {', '.join(known)}.")
        for key in needed:
            if key not in value:
                self.note("schema", path, f"“{key}” is missing. Add it.")
        return value

    def number(self, owner: Mapping[str, Any], key: str, path: Path, bound: Bound, default: float = 0.0) -> float:
        value = owner.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.note("schema", (*path, key), f"{bound.name} is {_kind(value)}. Give a number.")
        elif bound.low <= value <= bound.high:
            return float(value)
        elif key in owner:
            code = "negative_amount" if value < 0 <= bound.low else "out_of_range"
            message = f"{bound.name} is {_figure(value, bound.unit)}. Give {bound.low:g} to {bound.high:g}{bound.unit}."
            self.note(code, (*path, key), f"{message} {bound.why}".rstrip())
        return max(bound.low, default)

    def one_of(self, owner: Mapping[str, Any], key: str, path: Path, choices: Mapping[str, Any]) -> str | None:
        value = owner.get(key)
        if isinstance(value, str) and value in choices:
            return value
        if key in owner:
            given = f"“{value}”" if isinstance(value, str) else _kind(value)
            self.note("schema", (*path, key), f"The {key} is {given}. Give one of: {'; '.join(choices)}.")
        return None


def _figure(value: float, unit: str) -> str:
    if value != value:  # NaN, the only number that is not itself
        return "not a number"
    # An integer may have more digits than a float can hold.
    return f"{float(value):g}{unit}" if abs(value) < _ENDLESS else "without end"


def _kind(value: Any) -> str:
    kinds: dict[type, str] = {bool: "true or false", str: "text", list: "a list", dict: "an object", type(None): "null"}
    return next((word for kind, word in kinds.items() if isinstance(value, kind)), "a number")


def read_case(document: Any) -> tuple[Case, bool]:
    """Read a case.

    Parameters
    ----------
    document : object
        `geometry`, `composition_mass_percent`, `initial_c`, `stages`, `preparation`; if wanted `air_fraction` and
        `property_rule`.

    Returns
    -------
    tuple of Case and bool
        The case, and whether it was cooked.

    Raises
    ------
    InputErrors
        Everything wrong with it.
    """
    reading = _Reading()
    top = reading.object(document, (), _KEYS, _OPTIONAL)
    body = _body(reading, top.get("geometry"), "geometry" in top)
    percent = _composition(reading, top)
    air = reading.number(top, "air_fraction", (), BOUNDS["air_fraction"])
    at_c = _property_rule(reading, top)
    initial_c = reading.number(top, "initial_c", (), BOUNDS["initial_c"])
    stages = _stages(reading, top)
    preparation = reading.one_of(top, "preparation", (), PREPARATIONS)
    if reading.errors or preparation is None:
        raise InputErrors(reading.errors)
    case = Case(body, food_of(percent, air, at_c), initial_c, stages)
    _refuse_freezing(reading, case)
    return case, PREPARATIONS[preparation]


def _body(reading: _Reading, value: Any, given: bool) -> Body:
    path: Path = ("geometry",)
    if not given:
        return Slab(1)
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


def _composition(reading: _Reading, top: Mapping[str, Any]) -> dict[str, float]:
    key = "composition_mass_percent"
    if key not in top:
        return {}
    before = len(reading.errors)
    owner = reading.object(top[key], (key,), (), tuple(COMPONENTS))
    shares = {
        name: reading.number(owner, name, (key,), Bound(f"The share of {name}", " %", 0, 100)) for name in COMPONENTS
    }
    whole = sum(shares.values())
    if len(reading.errors) == before and abs(whole - _WHOLE) > _WHOLE_OFF:
        reading.note("bad_composition", (key,), f"The shares add up to {whole:g} %. Make them 100 %.")
    return shares


def _property_rule(reading: _Reading, top: Mapping[str, Any]) -> float:
    key = "property_rule"
    if key not in top:
        return PROPERTY_TEMPERATURE_C
    owner = reading.object(top[key], (key,), (), ("temperature_c", *RULES))
    for name, begin in RULES.items():
        if name in owner and not str(owner[name]).startswith(begin):
            reading.note(
                "schema",
                (key, name),
                f"The rule for {name} is “{owner[name]}”. Only “{begin}” is offered; write that or leave it out.",
            )
    return reading.number(owner, "temperature_c", (key,), BOUNDS["temperature_c"], PROPERTY_TEMPERATURE_C)


def _stages(reading: _Reading, top: Mapping[str, Any]) -> tuple[Stage, ...]:
    value = top.get("stages")
    if "stages" not in top:
        return ()
    if not isinstance(value, list) or not 1 <= len(value) <= MOST_STAGES:
        found = f"a list of {len(value)}" if isinstance(value, list) else _kind(value)
        reading.note("schema", ("stages",), f"The stages are {found}. Give a list of 1 to {MOST_STAGES} stages.")
        return ()
    stages = []
    for at, each in enumerate(value):
        path: Path = ("stages", at)
        owner = reading.object(each, path, _STAGE)
        stages.append(Stage(*(reading.number(owner, key, path, BOUNDS[key], BOUNDS[key].low) for key in _STAGE)))
    return tuple(stages)


def _refuse_freezing(reading: _Reading, case: Case) -> None:
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
    read: list[tuple[Case, bool]] = []
    for name, text in documents:
        try:
            read.append(read_case(read_json(text, ROOT)))
        except InputErrors as found:
            several = len(documents) > 1
            errors += [replace(e, message=f"{name}: {e.message}") if several else e for e in found.errors]
    if errors:
        raise InputErrors(errors)
    return [answer(case, cooked=cooked) for case, cooked in read]
