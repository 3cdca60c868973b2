"""Suggestions for density, piece weight and yield from the bundled public-domain table.

Source: USDA National Nutrient Database for Standard Reference, Release 28 (2015-2016), a work of the United States
government and so in the public domain; ``catalog/data/usda_sr28.csv`` (household weights, composition) and
``catalog/data/usda_sr28_yields.csv`` (edible part = 1 - refuse). A yield holds for one preparation only: read its
description.
"""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Final

SOURCE: Final = "USDA SR28"
_DATA: Final = Path(__file__).resolve().parent / "data"
#: A US cup in millilitres (NIST Handbook 44: 231 in³ / 16).
_CUP_ML: Final = Decimal("236.5882365")
_STOP: Final = frozenset(
    {"raw", "fresh", "whole", "large", "ground", "the", "of", "and", "with", "without", "in", "all", "varieties"}
)
#: Said of a food in another form than the plain one; nobody means it who does not say so.
_OTHER_FORM: Final = frozenset(
    {"brown", "buttermilk", "canned", "condensed", "dried", "dry", "evaporated", "juice", "light", "lowfat", "nonfat"}
    | {"paste", "peel", "powdered", "salted", "skim", "sour", "sweetened", "white", "yolk"}
)
_WITHOUT_SALT: Final = re.compile(r"without salt|no salt", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Weight:
    """What one household measure weighs. ``density`` in g/ml, None for a count."""

    measure: str
    grams: Decimal
    density: Decimal | None

    @property
    def key(self) -> str:
        """Return the text by which a form refers to this weight."""
        return self.measure


@dataclass(frozen=True, slots=True)
class Food:
    """A row of the table: household weights, yield after a preparation, what it consists of in percent by mass."""

    ndb: str
    name: str
    weights: tuple[Weight, ...]
    yield_share: Decimal | None
    preparation: str
    refuse: str
    composition: Mapping[str, Decimal] | None = None

    @property
    def source(self) -> str:
        """Return the source text shown beside a value taken from this row."""
        return f"{SOURCE} {self.ndb}, {self.name}"[:200]

    def weight(self, measure: str) -> Weight | None:
        """Return the weight of a measure by its text."""
        return next((weight for weight in self.weights if weight.measure == measure), None)


@cache
def foods() -> dict[str, Food]:
    """Return the whole table by NDB number."""
    with (_DATA / "usda_sr28.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    yields = _yields()
    found: dict[str, list[dict[str, str]]] = {}
    for row in rows:
        found.setdefault(row["ndb_no"], []).append(row)
    return {ndb: _food(ndb, lines, yields.get(ndb)) for ndb, lines in found.items()}


def suggestions(name: str, *, most: int = 4) -> list[Food]:
    """Return the rows whose description fits an ingredient's name best, best first; empty when none fits.

    A plain name means the plain food: butter is unsalted, milk is whole.
    """
    wanted = _words(name)
    if not wanted:
        return []
    scored = [(_score(wanted, _words(food.name), food.name), food) for food in foods().values()]
    best = sorted((pair for pair in scored if pair[0] > 0), key=lambda pair: (-pair[0], len(pair[1].name), pair[1].ndb))
    return [food for _score_, food in best[:most]]


def _score(wanted: frozenset[str], words: frozenset[str], food: str) -> int:
    shared = len(wanted & words)
    if not shared:
        return 0
    # The table names the food first and its kind after a comma: “Milk, whole” is whole milk.
    head = re.split(r"\W+", food.lower())[0]
    named = any(word[:4] == head[:4] for word in wanted)
    other = len((words - wanted) & _OTHER_FORM)
    return max(1, shared * 4 + (3 if named else 0) - len(words - wanted) // 3 - 2 * other)


def _words(text: str) -> frozenset[str]:
    words = re.split(r"\W+", _WITHOUT_SALT.sub("unsalted", text).lower())
    return frozenset(word.rstrip("s") for word in words if len(word) > 2 and word not in _STOP)


def _food(ndb: str, rows: list[dict[str, str]], edible: tuple[Decimal, str, str] | None) -> Food:
    share, preparation, refuse = edible or (None, "", "")
    weights = tuple(_weight(row) for row in rows if row["gram_weight"])
    return Food(ndb, rows[0]["sr_description"], weights, share, preparation, refuse, _composition(rows[0]))


def _composition(row: dict[str, str]) -> dict[str, Decimal] | None:
    """Return the composition of 100 g; None where the table has none.

    The table's carbohydrate includes fibre. Alcohol counts as water, because both evaporate.
    """
    needed = [row[f"{name}_g"] for name in ("water", "protein", "fat", "carbohydrate", "ash")]
    if "" in needed:
        return None
    water, protein, fat, carbohydrate, ash = map(Decimal, needed)
    fibre, alcohol = (Decimal(row[f"{name}_g"] or 0) for name in ("fibre", "alcohol"))
    return {
        "water": water + alcohol,
        "protein": protein,
        "fat": fat,
        "carb": max(carbohydrate - fibre, Decimal(0)),
        "fibre": fibre,
        "ash": ash,
    }


def _weight(row: dict[str, str]) -> Weight:
    amount = "" if row["measure_amount"] in ("1", "1.0") else f"{row['measure_amount']} "
    grams = Decimal(row["gram_weight"])
    return Weight(f"{amount}{row['measure']}", grams, Decimal(row["g_per_us_ml"]) if row["g_per_us_ml"] else None)


@cache
def _yields() -> dict[str, tuple[Decimal, str, str]]:
    with (_DATA / "usda_sr28_yields.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["ndb_no"]: (Decimal(row["edible_yield"]), row["description"], row["refuse_description"])
            for row in csv.DictReader(file)
        }


def density_of_cup(grams: Decimal) -> Decimal:
    """Return g/ml of something one US cup of which weighs ``grams``, to four decimals."""
    return (grams / _CUP_ML).quantize(Decimal("0.0001"))
