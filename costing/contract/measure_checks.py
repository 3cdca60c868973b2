"""The check of a Book's measures: readable, of the right kind, and convertible into grams."""

from __future__ import annotations

from collections.abc import Mapping

from costing.contract.entries import Entry
from costing.contract.errors import Path
from costing.contract.problems import Problems
from costing.measures.measure import Measure, MeasureError

Ingredients = Mapping[str, Entry]
"""Code -> ingredient."""


def check_mass(found: Problems, item: Entry, path: Path, key: str) -> None:
    """Check a measure that has to be a mass.

    Parameters
    ----------
    found : Problems
        Where errors go.
    item : Entry
        The object that has the measure.
    path : tuple of str or int
        Its place.
    key : str
        Key of the measure.
    """
    measure = _read(found, item, path, key)
    if measure is not None and measure.kind != "mass":
        found.report("bad_measure", (*path, key), "mass_needed", measure=measure.text, kind=measure.kind)


def check_recipe_line(found: Problems, line: Entry, path: Path, ingredients: Ingredients) -> None:
    """Check the amount of a recipe's line.

    Parameters
    ----------
    found : Problems
        Where errors go.
    line : Entry
        The line.
    path : tuple of str or int
        Its place.
    ingredients : mapping of str to Entry
        The Book's ingredients.
    """
    if line.has("recipe"):
        check_mass(found, line, path, "amount")
        return
    code = line.text("ingredient")
    ingredient = ingredients.get(code or "")
    if ingredient is not None and ingredient.text("base") == "each":
        found.report("bad_measure", (*path, "ingredient"), "only_counted", ingredient=str(code))
        _read(found, line, path, "amount")
        return
    check_amount(found, line, path, "amount", ingredient, line.text("part"))


def check_amount(
    found: Problems, item: Entry, path: Path, key: str, ingredient: Entry | None, part: str | None = None
) -> None:
    """Check a measure of an ingredient, or of a part of it.

    Parameters
    ----------
    found : Problems
        Where errors go.
    item : Entry
        The object that has the measure.
    path : tuple of str or int
        Its place.
    key : str
        Key of the measure.
    ingredient : Entry, optional
        What is measured; None when that is not known.
    part : str, optional
        Code of the part that is measured.
    """
    measure = _read(found, item, path, key)
    if measure is None or ingredient is None:
        return
    if ingredient.text("base") == "each":
        if measure.kind != "count":
            owner = _name(ingredient)
            found.report(
                "bad_measure",
                (*path, key),
                "count_needed",
                measure=measure.text,
                kind=measure.kind,
                ingredient=owner,
            )
    elif measure.kind != "mass":
        _check_convertible(found, (*path, key), measure, ingredient, part)


def _read(found: Problems, item: Entry, path: Path, key: str) -> Measure | None:
    try:
        return item.measure(key)
    except MeasureError as error:
        found.report_measure((*path, key), error)
        return None


def _name(ingredient: Entry) -> str:
    return ingredient.text("name") or ingredient.text("code") or "This ingredient"


def _check_convertible(found: Problems, path: Path, measure: Measure, ingredient: Entry, part: str | None) -> None:
    piece = None if part is None else _part(ingredient, part)
    if part is not None and piece is None:
        return
    owner = ingredient if piece is None else piece
    if measure.kind == "volume":
        if owner.has("density") or ingredient.has("density"):
            return
        code, reason = "no_density", "no_density" if part is None else "no_part_density"
    elif owner.has("grams_each"):
        return
    else:
        code, reason = "no_piece_weight", "no_piece_weight" if part is None else "no_part_piece_weight"
    of = {} if part is None else {"part": part}
    found.report(code, path, reason, measure=measure.text, ingredient=_name(ingredient), **of)


def _part(ingredient: Entry, code: str) -> Entry | None:
    return next((part for _, part in ingredient.listed("parts") if part.text("code") == code), None)
