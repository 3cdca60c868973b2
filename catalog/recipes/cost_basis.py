"""The cost basis of recipes on one day: a lenient reading of the catalog.

One error in the catalog invalidates the whole Book, but a recipe that is being edited must still show its figures. So
this module takes the Book as it stands, and errors affect only the records they are in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property

from catalog.book.known import KnownByBook
from catalog.book.selectors import book_as_it_stands
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeLine
from costing.contract import Book
from costing.contract import Ingredient as Good
from costing.contract import Recipe as BookRecipe
from costing.contract.pantry import Pack
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.units import CupKind
from costing.purchasing.offers import standing
from costing.requirements.book_tables import pay_per_minute


@dataclass(frozen=True, slots=True)
class LineDraft:
    """One line, entered or saved: an amount of an ingredient, of a part of it, or of another recipe (by code)."""

    amount: str
    ingredient: str = ""
    part: str = ""
    recipe: str = ""


@dataclass(frozen=True, slots=True)
class LaborDraft:
    """The labor of one step: minutes per batch and per kilogram, and the role."""

    role: str
    per_batch: Fraction
    per_kg: Fraction


@dataclass(frozen=True, slots=True)
class RecipeDraft:
    """The inputs of a recipe's figures; ``code`` is empty for a recipe that is not saved yet."""

    code: str
    name: str
    lines: tuple[LineDraft, ...] = ()
    loss: Fraction = Fraction(0)
    batch_limit: Fraction | None = None
    batch_min: Fraction | None = None
    labor: tuple[LaborDraft, ...] = ()
    active: bool = True


@dataclass(frozen=True)
class CostBasis:
    """Ingredients with prices in force, recipes as saved, and pay, on one day."""

    cup: CupKind
    waste: Fraction
    goods: Mapping[str, Good]
    #: Money per gram (or per piece) as purchased; None where no pack is in force.
    prices: Mapping[str, Fraction | None]
    recipes: Mapping[str, RecipeDraft]
    #: Money per minute of each role, on-cost included.
    pay: Mapping[str, Fraction]
    #: Primary key of each role -> its code.
    role_codes: Mapping[int, str] = field(default_factory=dict)
    #: Codes of ingredients that are no longer bought.
    unbought: frozenset[str] = frozenset()
    #: The legal list of allergens that ingredients were asked for.
    allergen_list: str = "us"

    @cached_property
    def labels(self) -> dict[str, tuple[str, str, str]]:
        """Return everything a line can refer to: label -> (ingredient, part, recipe)."""
        labels: dict[str, tuple[str, str, str]] = {}
        for good in self.goods.values():
            if good.base == "each":
                continue
            name = _fresh(labels, good.name, good.code)
            labels[name] = (good.code, "", "")
            for part in good.parts:
                labels[f"{name}: {part.code}"] = (good.code, part.code, "")
        for recipe in self.recipes.values():
            name = recipe.name if recipe.name not in labels else f"{recipe.name} (recipe)"
            labels[_fresh(labels, name, recipe.code)] = ("", "", recipe.code)
        return labels

    @property
    def selectable(self) -> list[str]:
        """Return the labels of active ingredients and recipes for the suggestions; others can still be entered."""
        return [
            label
            for label, (good, _, recipe) in self.labels.items()
            if good not in self.unbought and (not recipe or self.recipes[recipe].active)
        ]

    @cached_property
    def label_of(self) -> dict[tuple[str, str, str], str]:
        """Return the label of each (ingredient, part, recipe)."""
        return {thing: label for label, thing in self.labels.items()}


def _fresh(taken: Mapping[str, object], name: str, code: str) -> str:
    return f"{name} [{code}]" if name in taken else name


#: The cost bases of a Book by day.
_KNOWN: KnownByBook[date, CostBasis] = KnownByBook()


def cost_basis_load(*, day: date) -> CostBasis:
    """Return the catalog for costing recipes on a day; two queries at most when this process knows the Book."""
    book = book_as_it_stands()
    known = _KNOWN.of(book)
    if day not in known:
        known[day] = _cost_basis(book, day)
    return known[day]


def _cost_basis(book: Book, day: date) -> CostBasis:
    cup = book.kitchen.cup
    return CostBasis(
        cup=cup,
        waste=book.kitchen.waste,
        goods={good.code: good for good in book.ingredients},
        allergen_list=book.kitchen.described.allergen_list,
        prices={good.code: _price(good, day, cup) for good in book.ingredients},
        recipes={recipe.code: _draft(recipe, cup) for recipe in book.recipes},
        pay={role.code: pay_per_minute(role) for role in book.roles},
        role_codes=dict(Role.objects.values_list("pk", "code")),
        unbought=frozenset(good.code for good in book.ingredients if not good.active),
    )


def _price(good: Good, day: date, cup: CupKind) -> Fraction | None:
    """Return the price per gram: of the preferred packs if there are any, else of all; the cheapest of them."""
    packs = standing(good, day)
    priced = [(pack.preferred, price) for pack in packs if (price := _per_unit(good, pack, cup))]
    chosen = [price for preferred, price in priced if preferred] or [price for _, price in priced]
    return min(chosen, default=None)


def _per_unit(good: Good, pack: Pack, cup: CupKind) -> Fraction | None:
    try:
        size = good.amount_of(parse_measure(pack.size.text), cup)
    except MeasureError:
        return None
    return pack.price / size


def grams_or_none(text: str, cup: CupKind) -> Fraction | None:
    """Return the grams of a mass in the exact grammar, or None when there is none."""
    try:
        return parse_measure(text).grams(cup) if text else None
    except MeasureError:
        return None


def _draft(recipe: BookRecipe, cup: CupKind) -> RecipeDraft:
    """Return a recipe of the Book as a draft."""
    limit, least = recipe.batch_limit, recipe.batch_min
    return RecipeDraft(
        code=recipe.code,
        name=recipe.name,
        lines=tuple(
            LineDraft(line.amount.text, line.ingredient or "", line.part or "", line.recipe or "")
            for line in recipe.lines
        ),
        loss=recipe.loss,
        batch_limit=grams_or_none(limit.text, cup) if limit else None,
        batch_min=grams_or_none(least.text, cup) if least else None,
        labor=tuple(
            LaborDraft(step.role, step.hands_fixed, step.hands_each) for step in recipe.steps if step.role is not None
        ),
        active=recipe.active,
    )


def recipe_draft(row: Recipe, cup: CupKind) -> RecipeDraft:
    """Return a saved recipe as a draft; lines and steps should be prefetched."""
    return RecipeDraft(
        code=row.code,
        name=row.name,
        lines=tuple(line_draft(line) for line in row.lines.all()),
        loss=Fraction(row.loss),
        batch_limit=grams_or_none(row.batch_limit, cup),
        batch_min=grams_or_none(row.batch_min, cup),
        labor=tuple(
            LaborDraft(step.role.code, Fraction(step.hands_fixed), Fraction(step.hands_each))
            for step in row.steps.all()
            if step.role
        ),
        active=row.active,
    )


def line_draft(line: RecipeLine) -> LineDraft:
    """Return a saved line as a draft."""
    return LineDraft(
        amount=line.amount,
        ingredient=line.ingredient.code if line.ingredient else "",
        part=line.part.code if line.part else "",
        recipe=line.component.code if line.component else "",
    )
