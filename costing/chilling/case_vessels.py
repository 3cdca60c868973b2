"""Reads the vessels of a case and what lies on the food in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costing.chilling.case_foods import PERCENT, ReadFood, read_food, stirred_in
from costing.chilling.film_coefficients import BENEATH, WALLS, Surroundings
from costing.chilling.vessels import VESSEL_KINDS, DoesNotFit, Fill, Vessel, filled
from costing.contract.case_reading import Bound, Reading
from costing.contract.errors import Path

PATH: Path = ("vessel",)
_SIZE = (" mm", 5.0, 2000.0)
_SIZES: dict[str, Bound] = {
    "length_mm": Bound("The vessel's length", *_SIZE),
    "width_mm": Bound("The vessel's width", *_SIZE),
    "diameter_mm": Bound("The vessel's diameter", *_SIZE),
    "depth_mm": Bound("The vessel's depth", " mm", 5, 1000),
}
_WALL_MM = Bound("The wall's thickness", " mm", 0.05, 30)
_MASS = Bound("The mass", " kg", 0.01, 1000)
_COUNT = Bound("The number of vessels", "", 1, 200)
#: More vessels than anybody has: the sizes or the mass are in another unit.
_UNITS = " Sizes are in millimeters and masses in kilograms."
_OPTIONAL = ("wall", "wall_mm", "lid", "stands_on", "count")
_OF_A_BATCH = ("mass_kg", "mixed_in")
_MIXED_IN = ("mass_kg", PERCENT, "initial_c")


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch in vessels, as a case has it.

    Parameters
    ----------
    vessel : Vessel
        The vessel.
    base : str
        What it stands on, a key of `BENEATH`.
    count : int
        How many vessels.
    kg : float
        The whole batch, before the addition [kg].
    addition : tuple of ReadFood and float, or None
        What is stirred into it, and its mass [kg].
    """

    vessel: Vessel
    base: str
    count: int
    kg: float
    addition: tuple[ReadFood, float] | None

    @property
    def surroundings(self) -> Surroundings:
        """What lies between the filling and the air or the water."""
        return self.vessel.surroundings(self.base)

    @property
    def whole_kg(self) -> float:
        """The whole batch with its addition [kg]."""
        return self.kg + (0.0 if self.addition is None else self.addition[1])

    def with_addition(self, food: ReadFood) -> ReadFood:
        """Return what cools.

        Parameters
        ----------
        food : ReadFood
            The batch before the addition.

        Returns
        -------
        ReadFood
            With what is stirred in.
        """
        return food if self.addition is None else stirred_in(food, self.kg, *self.addition)


def one_shape(reading: Reading, document: Any) -> Any:
    """Refuse what says twice what shape cools, or a part of a batch without its vessel.

    Parameters
    ----------
    reading : Reading
        Records errors.
    document : object
        The case.

    Returns
    -------
    object
        The case without the keys that were refused.
    """
    if not isinstance(document, dict):
        return document
    if "vessel" in document:
        if "geometry" in document:
            reading.note(
                "schema",
                ("geometry",),
                "A case has a “vessel” or a “geometry”, not both: with a “vessel” the shape is that of the vessel, as"
                " high as “mass_kg” fills it. Leave out “geometry”, or leave out “vessel”, “mass_kg” and “mixed_in”.",
            )
        return {key: value for key, value in document.items() if key != "geometry"}
    for key in _OF_A_BATCH:
        if key in document:
            message = f"“{key}” goes with a “vessel”, and there is none. Give “vessel” instead of “geometry”, or leave"
            reading.note("schema", (key,), f"{message} “{key}” out.")
    return {key: value for key, value in document.items() if key not in _OF_A_BATCH}


def read_batch(reading: Reading, top: Mapping[str, Any]) -> Batch | None:
    """Read a batch: vessels, mass, and what is stirred into it.

    Parameters
    ----------
    reading : Reading
        Records errors.
    top : mapping of str to object
        The case.

    Returns
    -------
    Batch or None
        None for a case without vessels, or of a kind that is not known.
    """
    if "vessel" not in top:
        return None
    kg, addition = _mass(reading, top, ()), _addition(reading, top)
    found = _vessel(reading, top["vessel"])
    return None if found is None else Batch(*found, kg, addition)


def _mass(reading: Reading, owner: Mapping[str, Any], path: Path) -> float:
    return reading.number(owner, "mass_kg", path, _MASS, _MASS.low)


def _addition(reading: Reading, top: Mapping[str, Any]) -> tuple[ReadFood, float] | None:
    if "mixed_in" not in top:
        return None
    path: Path = ("mixed_in",)
    owner = reading.object(top["mixed_in"], path, _MIXED_IN, ("air_fraction",))
    return read_food(reading, owner, path), _mass(reading, owner, path)


def _vessel(reading: Reading, value: Any) -> tuple[Vessel, str, int] | None:
    kind = reading.one_of(value, "kind", PATH, VESSEL_KINDS) if isinstance(value, dict) else None
    sizes = VESSEL_KINDS[kind].sizes if kind else ()
    owner = reading.object(value, PATH, ("kind", *sizes), (*_OPTIONAL, *(() if kind else tuple(_SIZES))))
    size = {key: reading.number(owner, key, PATH, _SIZES[key], _SIZES[key].low) for key in sizes}
    wall = reading.one_of(owner, "wall", PATH, WALLS)
    base = reading.one_of(owner, "stands_on", PATH, BENEATH)
    thick = reading.number(owner, "wall_mm", PATH, _WALL_MM, 1.0) if "wall_mm" in owner else None
    lid, count = reading.flag(owner, "lid", PATH), _count(reading, owner)
    if kind is None:
        return None
    return Vessel(kind, wall=wall or "", wall_mm=thick, lid=lid, **size), base or "open", count


def _count(reading: Reading, owner: Mapping[str, Any]) -> int:
    count = reading.number(owner, "count", PATH, _COUNT, 1.0)
    if not count.is_integer():
        reading.note("schema", (*PATH, "count"), f"The number of vessels is {count:g}. Give a whole number.")
    return int(count)


def fitted(reading: Reading, batch: Batch, rho: float, above_mm: float) -> Fill | None:
    """Fill a batch into its vessels, or record that it does not fit.

    Parameters
    ----------
    reading : Reading
        Records errors.
    batch : Batch
        The batch.
    rho : float
        Its density [kg/m3].
    above_mm : float
        Thickness of what lies on it [mm].

    Returns
    -------
    Fill or None
        None when it does not fit.
    """
    try:
        found = filled(batch.vessel, batch.whole_kg, rho, batch.count)
    except DoesNotFit as error:
        reading.note("does_not_fit", PATH, _does_not_fit(error))
        return None
    vessel = batch.vessel
    if found.height_mm + above_mm > vessel.depth_mm:
        reading.note(
            "does_not_fit",
            ("on_top", "height_mm"),
            f"The filling is {found.height_mm:.0f} mm high and the layer {above_mm:g} mm; the {vessel.kind} is"
            f" {vessel.depth_mm:g} mm deep. Make the layer thinner, or divide the batch over more vessels.",
        )
        return None
    return found


def _does_not_fit(error: DoesNotFit) -> str:
    """Return the command's own sentence; pages make theirs."""
    vessels = f"One {error.vessel.kind}" if error.count == 1 else f"Each of {error.count} {error.vessel.kind}s"
    return (
        f"{vessels} holds {error.holds_kg:.2f} kg, and {error.kg / error.count:.2f} kg would go in. Divide the batch"
        f" over {error.needed} (“count”), or take a larger one.{_UNITS if error.needed > _COUNT.high else ''}"
    )
