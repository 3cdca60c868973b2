"""Rules for what a hot batch stands in, and for what each step of a product takes in."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from costing.contract.entries import Entry
from costing.contract.errors import Path
from costing.contract.problems import Problems

_STANDING: Final = ("vessel", "vessels", "depth_cm", "covered", "ice_bath", "stir_min", "bath_to_c", "bath_min")
_TAKING: Final = ("takes", "takes_c", "takes_as")


def _given(step: Entry, keys: Collection[str]) -> list[str]:
    return [key for key in keys if step.has(key)]


def check_vessel(found: Problems, vessel: Entry, path: Path) -> None:
    """Check that a vessel's inside is known: round, or with a length and a width.

    Parameters
    ----------
    found : Problems
        Where errors go.
    vessel : Entry
        The vessel.
    path : tuple of str or int
        Its place.
    """
    sides = [key for key in ("length_cm", "width_cm") if vessel.has(key)]
    shaped = len(sides) == 2 if not vessel.has("diameter_cm") else not sides
    if not (shaped and vessel.has("height_cm")):
        found.report("schema", path, "vessel_sizes", vessel=vessel.text("name") or "")


def check_recipe_step(found: Problems, step: Entry, path: Path, vessels: Collection[str | None]) -> None:
    """Check what a step of a recipe says of vessel and ice bath.

    Parameters
    ----------
    found : Problems
        Where errors go.
    step : Entry
        The step.
    path : tuple of str or int
        Its place.
    vessels : collection of str or None
        Names of the vessels of the Book.
    """
    for key in _given(step, _TAKING):
        found.report("schema", (*path, key), "recipe_takes")
    standing = _given(step, _STANDING)
    if standing and not step.has("leaves_c"):
        found.report("schema", (*path, standing[0]), "stands_without_leaving")
    vessel = step.text("vessel")
    if vessel is not None and vessel not in vessels:
        found.report("schema", (*path, "vessel"), "no_such_vessel", vessel=vessel)
    if vessel is None:
        for key in _given(step, ("vessels", "depth_cm", "covered")):
            found.report("schema", (*path, key), "vessels_without_vessel")
    if step.has("stir_min") and not step.flag("ice_bath"):
        found.report("schema", (*path, "stir_min"), "stirred_without_bath")
    _check_bath_end(found, step, path)


def _check_bath_end(found: Problems, step: Entry, path: Path) -> None:
    """Check what ends an ice bath: a temperature or a time."""
    given = _given(step, ("bath_to_c", "bath_min"))
    if given and not step.flag("ice_bath"):
        found.report("schema", (*path, given[0]), "bath_end_without_bath")
    if len(given) == 2:
        found.report("schema", (*path, "bath_min"), "bath_ends_twice")


def check_product_steps(found: Problems, product: Entry, path: Path) -> None:
    """Check what the steps of a product take in: components of its fill, each once.

    Parameters
    ----------
    found : Problems
        Where errors go.
    product : Entry
        The product.
    path : tuple of str or int
        Its place.
    """
    fill = {item.text("recipe") for _, item in product.listed("fill")}
    taken: set[str] = set()
    for at, step in product.listed("steps", path):
        for key in _given(step, _STANDING):
            found.report("schema", (*at, key), "stands_in_product")
        takes = step.texts("takes")
        if not takes:
            for key in _given(step, ("takes_c", "takes_as")):
                found.report("schema", (*at, key), "takes_nothing")
        for i, code in enumerate(takes):
            if code not in fill:
                found.report("schema", (*at, "takes", i), "takes_other", recipe=code)
            elif code in taken:
                found.report("schema", (*at, "takes", i), "taken_twice", recipe=code)
            taken.add(code)
