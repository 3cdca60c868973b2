"""What a dessert kitchen commonly buys, to be added by ticking: names, figures by the food table, plain allergens.

Which foods, their names and what else they are called: common practice, no source (``catalog/pantry/data/common.csv``).
Density, piece weight, waste and composition are those of the row of USDA SR28 that the file names; where it names none
they are missing, and said to be. A piece as purchased is the table's edible piece divided by the edible share. What a
part of a fruit weighs is the table's ("1 lemon yields 48 g juice"); a tablespoon of zest from one fruit is common
practice, no source.

``contains`` holds only what a food of that name cannot be without: butter has milk in it. Everything else on a label
stays *not checked yet*.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.utils.text import slugify

from catalog.pantry.allergens import ALLERGENS
from catalog.pantry.declarations import CONTAINS
from catalog.pantry.food_table import Food, foods, suggestions
from catalog.pantry.models import Ingredient

_FILE: Final = Path(__file__).resolve().parent / "data" / "common.csv"
PACKING: Final = "packing"
_ALLERGENS: Final = frozenset(allergen.code for allergen in ALLERGENS)


@dataclass(frozen=True, slots=True)
class CommonPart:
    """A named share of a piece: juice, zest; yolk, white. ``share`` of the mass as purchased, ``grams`` of one."""

    code: str
    food: Food
    share: Decimal
    grams: Decimal
    density: Decimal | None


@dataclass(frozen=True, slots=True)
class Common:
    """An ingredient to be added by ticking. ``density`` in g/ml, ``grams_each`` as purchased, in g."""

    key: str
    group: str
    names: Mapping[str, str]
    also: tuple[str, ...]
    food: Food | None
    density: Decimal | None
    grams_each: Decimal | None
    yield_share: Decimal
    contains: tuple[str, ...]
    parts: tuple[CommonPart, ...]
    #: The row of the table that its density is from, where that is not its own.
    weighed_as: Food | None = None

    def name(self, country: str) -> str:
        """Return what it is called in a country: British names in the United Kingdom and Ireland, else American."""
        return self.names["gb" if country in {"GB", "IE"} else "us"]

    @property
    def counted(self) -> bool:
        """Whether it is a food that is bought by the piece: one with a piece's weight that no cup measures."""
        return self.grams_each is not None and self.density is None

    @property
    def called(self) -> tuple[str, ...]:
        """Return every name it goes by."""
        return (*self.names.values(), *self.also)

    def columns(self, country: str) -> dict[str, Any]:
        """Return the ingredient's columns as :func:`catalog.pantry.services.ingredient_save` takes them."""
        diets = {code: CONTAINS for code in self.contains if code not in _ALLERGENS}
        return {
            "name": self.name(country),
            "base": Ingredient.Base.EACH if self.group == PACKING else Ingredient.Base.GRAM,
            "density": self.density,
            "grams_each": self.grams_each,
            "yield_share": self.yield_share,
            "allergens": [code for code in self.contains if code in _ALLERGENS],
            "allergen_answers": diets,
            "source": "; ".join(food.source for food in (self.food, self.weighed_as) if food),
            "ndb": self.food.ndb if self.food else "",
        }

    def part_rows(self) -> list[dict[str, Any]]:
        """Return the parts as the same function takes them."""
        joint = "piece" if len(self.parts) > 1 else ""
        return [
            {
                "code": part.code,
                "share": part.share,
                "joint": joint,
                "density": part.density,
                "grams_each": part.grams,
                "ndb": part.food.ndb,
            }
            for part in self.parts
        ]


@cache
def common_ingredients() -> dict[str, Common]:
    """Return them all by key, in the order of the file: group after group."""
    with _FILE.open(encoding="utf-8", newline="") as file:
        found = [_common(row) for row in csv.DictReader(file)]
    return {one.key: one for one in found}


def common_of(name: str) -> Common | None:
    """Return the one that goes by exactly this name, in any order of its words; None where there is none."""
    return _by_words().get(_words(name))


def commonly_same(name: str) -> list[tuple[int, str]]:
    """Return the ingredients (primary key, name) that are commonly called by a name too: milk is whole milk."""
    wanted = common_of(name)
    if wanted is None:
        return []
    rows = Ingredient.objects.order_by("name").values_list("pk", "name")
    return [(pk, found) for pk, found in rows if common_of(found) is wanted]


def foods_for(name: str, *, most: int = 4) -> list[Food]:
    """Return rows of the food table for an ingredient's name, best first: what goes by the name, then what fits it."""
    known = common_of(name)
    found = suggestions(name, most=most)
    if known is None or known.food is None:
        return found
    return [known.food, *(food for food in found if food.ndb != known.food.ndb)][:most]


@cache
def _by_words() -> dict[frozenset[str], Common]:
    found: dict[frozenset[str], Common] = {}
    for one in common_ingredients().values():
        for name in one.called:
            found.setdefault(_words(name), one)
    return found


def _words(name: str) -> frozenset[str]:
    spelled = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return frozenset(word.removesuffix("s") for word in spelled.split())


def _common(row: dict[str, str]) -> Common:
    food = foods()[row["ndb"]] if row["ndb"] else None
    edible = food.yield_share if food and row["waste"] else None
    return Common(
        key=slugify(row["name"]),
        group=row["group"],
        names={"us": row["name"], "gb": row["name_gb"] or row["name"]},
        also=_several(row["also"]),
        food=food,
        density=_density(food, row["density"]) if food and row["density"] else None,
        weighed_as=_weighed_as(row["density"]),
        grams_each=_piece(food, row) if food and row["piece"] else None,
        yield_share=edible or Decimal(1),
        contains=tuple(row["contains"].split()),
        parts=tuple(_part(text, food, row) for text in _several(row["parts"])) if food else (),
    )


def _several(text: str) -> tuple[str, ...]:
    return tuple(one.strip() for one in text.split(";") if one.strip())


def _weighed_as(measure: str) -> Food | None:
    """Return another row of the table that a cup is weighed by: ``12061:cup, ground`` for flour of blanched almonds."""
    ndb, colon, _ = measure.partition(":")
    return foods()[ndb] if colon else None


def _density(food: Food, measure: str) -> Decimal:
    other = _weighed_as(measure)
    food, measure = (other, measure.partition(":")[2]) if other else (food, measure)
    weight = food.weight(measure)
    if weight is None or weight.density is None:
        raise LookupError(food.ndb, measure)
    return weight.density


def _piece(food: Food, row: dict[str, str]) -> Decimal:
    weight = food.weight(row["piece"])
    if weight is None:
        raise LookupError(food.ndb, row["piece"])
    # Bought ready to use, as pitted dates are, it weighs what the table says.
    wasted = food.yield_share if row["waste"] or row["parts"] else None
    return (weight.grams / (wasted or 1)).quantize(Decimal("0.1"))


def _part(text: str, whole: Food | None, row: dict[str, str]) -> CommonPart:
    code, ndb, measure = text.split(":")
    food = foods()[ndb]
    weight = food.weight(measure)
    if whole is None or weight is None:
        raise LookupError(text)
    share = (weight.grams / _piece(whole, row)).quantize(Decimal("0.001"))
    cup = next((one.density for one in food.weights if one.density is not None), None)
    return CommonPart(code, food, share, weight.grams, cup)
