"""The check of a Book's measures (readable, of the right kind, convertible) and of recipe loops."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from costing.contract.errors import Path
from costing.contract.problems import Problems, as_object, as_text, entries
from costing.measures.measure import Measure, MeasureError, parse_measure

_PLURAL = {"mass": "a mass", "volume": "a volume", "count": "a count"}


def check_measures(found: Problems, document: dict[str, Any]) -> None:
    """Check every measure of a Book.

    Parameters
    ----------
    found : Findings
        Where errors go.
    document : dict
        The Book's JSON document.
    """
    ingredients: dict[str, dict[str, Any]] = {}
    for path, ingredient in entries(document.get("ingredients"), ("ingredients",)):
        ingredients.setdefault(as_text(ingredient.get("code")) or "", ingredient)
        for at, pack in entries(ingredient.get("packs"), (*path, "packs")):
            _check_amount(found, (*at, "size"), pack.get("size"), ingredient, None)
    _check_recipes(found, document, ingredients)
    for path, product in entries(document.get("products"), ("products",)):
        for at, fill in entries(product.get("fill"), (*path, "fill")):
            _check_mass(found, (*at, "amount"), fill.get("amount"))
        for at, packaging in entries(product.get("packaging"), (*path, "packaging")):
            used = ingredients.get(as_text(packaging.get("ingredient")) or "")
            _check_amount(found, (*at, "amount"), packaging.get("amount"), used, None)


def _check_recipes(found: Problems, document: dict[str, Any], ingredients: dict[str, dict[str, Any]]) -> None:
    for path, recipe in entries(document.get("recipes"), ("recipes",)):
        for key in ("batch_limit", "batch_min"):
            _check_mass(found, (*path, key), recipe.get(key))
        for at, line in entries(recipe.get("lines"), (*path, "lines")):
            _check_line(found, at, line, ingredients)


def _check_line(found: Problems, path: Path, line: dict[str, Any], ingredients: dict[str, dict[str, Any]]) -> None:
    if "recipe" in line:
        _check_mass(found, (*path, "amount"), line.get("amount"))
        return
    code = as_text(line.get("ingredient"))
    ingredient = ingredients.get(code or "")
    if ingredient is not None and ingredient.get("base") == "each":
        found.add(
            "bad_measure",
            (*path, "ingredient"),
            f"“{code}” is only counted, so it cannot go into a recipe. Use it as packaging, or give it the base g.",
        )
        _read(found, (*path, "amount"), line.get("amount"))
        return
    _check_amount(found, (*path, "amount"), line.get("amount"), ingredient, as_text(line.get("part")))


def _read(found: Problems, path: Path, value: Any) -> Measure | None:
    text = as_text(value)
    if text is None:
        return None
    try:
        return parse_measure(text)
    except MeasureError as error:
        found.add("bad_measure", path, str(error))
        return None


def _check_mass(found: Problems, path: Path, value: Any) -> None:
    measure = _read(found, path, value)
    if measure is not None and measure.kind != "mass":
        found.add("bad_measure", path, f"“{measure}” is {_PLURAL[measure.kind]}, and a mass is needed. Write grams.")


def _check_amount(found: Problems, path: Path, value: Any, ingredient: dict[str, Any] | None, part: str | None) -> None:
    measure = _read(found, path, value)
    if measure is None or ingredient is None:
        return
    name = as_text(ingredient.get("name")) or as_text(ingredient.get("code")) or "This ingredient"
    if ingredient.get("base") == "each":
        if measure.kind != "count":
            found.add(
                "bad_measure",
                path,
                f"“{measure}” is {_PLURAL[measure.kind]}, but {name} is only counted. Write it in each.",
            )
    elif measure.kind != "mass":
        _check_convertible(found, path, measure, ingredient, part, name)


def _check_convertible(
    found: Problems, path: Path, measure: Measure, ingredient: dict[str, Any], part: str | None, name: str
) -> None:
    piece = _part(ingredient, part)
    if part is not None and piece is None:
        return
    owner = ingredient if piece is None else piece
    of = name if part is None else f"the part “{part}” of {name}"
    if measure.kind == "volume":
        if "density" not in owner and "density" not in ingredient:
            found.add("no_density", path, f"“{measure}” needs the density of {of}. Add it, or write grams.")
    elif "grams_each" not in owner:
        found.add("no_piece_weight", path, f"“{measure}” needs the grams of one piece of {of}. Add it, or write grams.")


def _part(ingredient: dict[str, Any], code: str | None) -> dict[str, Any] | None:
    if code is None:
        return None
    return next((part for _, part in entries(ingredient.get("parts"), ()) if part.get("code") == code), None)


def check_cycles(found: Problems, document: dict[str, Any]) -> None:
    """Find recipes that need themselves, and name each loop at every reference on it.

    Parameters
    ----------
    found : Findings
        Where errors go.
    document : dict
        The Book's JSON document.
    """
    uses: dict[str, list[str]] = {}
    for _, user, used in _references(document):
        uses.setdefault(user, []).append(used)
    knots = _knots(uses)
    for path, user, used in _references(document):
        if user in knots and knots.get(used) == knots[user]:
            loop = " → ".join((user, *_way(uses, used, user)))
            found.add("recipe_cycle", path, f"This recipe needs itself: {loop}. Take one of these lines out.")


def _references(document: dict[str, Any]) -> Iterator[tuple[Path, str, str]]:
    for path, recipe in entries(document.get("recipes"), ("recipes",)):
        user = as_text(recipe.get("code"))
        for at, line in entries(recipe.get("lines"), (*path, "lines")):
            used = as_text(as_object(line).get("recipe"))
            if user is not None and used is not None:
                yield (*at, "recipe"), user, used


def _knots(uses: dict[str, list[str]]) -> dict[str, int]:
    """Give each recipe on a loop the number of its strongly connected component (Tarjan 1972, iterative)."""
    number: dict[str, int] = {}
    low: dict[str, int] = {}
    knots: dict[str, int] = {}
    stack: list[str] = []
    for root in uses:
        if root in number:
            continue
        number[root] = low[root] = len(number)
        stack.append(root)
        work = [(root, iter(uses[root]))]
        while work:
            node, rest = work[-1]
            following = next(rest, None)
            if following is None:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                _close(node, number, low, stack, knots, uses)
            elif following not in number:
                number[following] = low[following] = len(number)
                stack.append(following)
                work.append((following, iter(uses.get(following, ()))))
            elif following in stack:
                low[node] = min(low[node], number[following])
    return knots


def _close(
    node: str,
    number: dict[str, int],
    low: dict[str, int],
    stack: list[str],
    knots: dict[str, int],
    uses: dict[str, list[str]],
) -> None:
    if low[node] != number[node]:
        return
    cut = stack.index(node)
    members = stack[cut:]
    del stack[cut:]
    if len(members) > 1 or node in uses.get(node, ()):
        knots.update(dict.fromkeys(members, number[node]))


def _way(uses: dict[str, list[str]], start: str, end: str) -> list[str]:
    """Find the shortest way from one recipe to another over what they use."""
    came: dict[str, str | None] = {start: None}
    queue = [start]
    for node in queue:
        if node == end:
            break
        for used in uses.get(node, ()):
            if used not in came:
                came[used] = node
                queue.append(used)
    way: list[str] = []
    step: str | None = end
    while step is not None:
        way.append(step)
        step = came[step]
    return way[::-1]
