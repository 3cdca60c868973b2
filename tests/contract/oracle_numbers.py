"""Measures, rounding and pack choice of the oracle: written from the contract's text, sharing no code with it."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import Any

Json = dict[str, Any]
F = Fraction

MASS = {"mg": F(1, 1000), "g": F(1), "kg": F(1000), "oz": F("28.349523125"), "lb": F("453.59237")}
GALLON = F("3785.411784")
VOLUME = {"ml": F(1), "cl": F(10), "l": F(1000), "gallon": GALLON, "quart": GALLON / 4, "pint": GALLON / 8}
VOLUME["fl_oz"] = GALLON / 128
COUNT = {"each": F(1), "dozen": F(12)}
VULGAR = {"¼": F(1, 4), "½": F(1, 2), "¾": F(3, 4), "⅓": F(1, 3), "⅔": F(2, 3), "⅛": F(1, 8), "⅜": F(3, 8)}
MINOR = {"JPY": 0, "KWD": 3, "USD": 2, "EUR": 2, "GBP": 2, "CLF": 4}


def spoons(cup_kind: str) -> dict[str, F]:
    cup = GALLON / 16 if cup_kind == "us" else F(250)
    tbsp = cup / 16 if cup_kind == "us" else F(15)
    tsp = tbsp / 3
    return {"cup": cup, "tbsp": tbsp, "tsp": tsp, "dash": tsp / 8, "pinch": tsp / 16}


def amount(text: str) -> tuple[F, str]:
    *words, unit = text.split(" ")
    total = F(0)
    for word in words:
        if word[-1] in VULGAR:
            total += VULGAR[word[-1]] + (F(word[:-1]) if word[:-1] else 0)
        else:
            total += F(word)
    return total, unit


def base_amount(text: str, ingredient: Json, part: str | None, cup_kind: str) -> F:
    number, unit = amount(text)
    owner = ingredient
    density = ingredient.get("density")
    if part is not None:
        owner = next(p for p in ingredient["parts"] if p["code"] == part)
        density = owner.get("density", density)
    if unit in COUNT:
        pieces = number * COUNT[unit]
        return pieces if ingredient.get("base") == "each" else pieces * F(owner["grams_each"])
    if unit in MASS:
        return number * MASS[unit]
    return number * {**VOLUME, **spoons(cup_kind)}[unit] * F(density)


def ceil(value: F) -> int:
    return -(-value.numerator // value.denominator)


def half_up(value: F) -> int:
    sign = -1 if value < 0 else 1
    return sign * int(abs(value) + F(1, 2))


def cheapest(sizes: list[F], prices: list[F], need: F) -> tuple[int, ...]:
    """Try every combination that is not obviously too much (only for small needs)."""
    ranges = [range(ceil(need / size) + 1) for size in sizes]
    best: Any = None
    for counts in itertools.product(*ranges):
        grams = sum((n * s for n, s in zip(counts, sizes, strict=True)), F(0))
        if grams < need:
            continue
        price = sum((n * p for n, p in zip(counts, prices, strict=True)), F(0))
        key = (price, grams, sum(counts), tuple(-n for n in counts))
        if best is None or key < best[0]:
            best = (key, counts)
    return tuple(best[1])


def standing(ingredient: Json, day: str) -> list[Json]:
    force = [p for p in ingredient.get("packs", []) if p["from"] <= day and ("to" not in p or day <= p["to"])]
    cheapest_packs = []
    for i, pack in enumerate(force):
        same = [(F(other["price"]), j) for j, other in enumerate(force) if other["size"] == pack["size"]]
        if min(same)[1] == i:
            cheapest_packs.append(pack)
    return cheapest_packs
