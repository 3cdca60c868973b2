"""The cost basis of recipes on one day: a lenient reading of the catalog.

One error in the catalog invalidates the whole Book, but a recipe that is being edited must still show its figures. So
this module reads the same rows into the same dataclasses, and errors affect only the records they are in.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Literal, cast

from django.db.models import Prefetch, Q

from catalog.kitchen.selectors import kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from costing.contract import Ingredient as Good
from costing.contract import Part as GoodPart
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.units import CupKind


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


def cost_basis_load(*, day: date) -> CostBasis:
    """Read the catalog for costing recipes on a day, in a fixed number of queries."""
    profile = kitchen()
    cup = cast(CupKind, profile.cup)
    in_force = Pack.objects.filter(starts__lte=day).filter(Q(ends__isnull=True) | Q(ends__gte=day))
    roles = list(Role.objects.all())
    rows = list(Ingredient.objects.prefetch_related("parts", Prefetch("packs", queryset=in_force)))
    goods = {row.code: _good(row) for row in rows}
    return CostBasis(
        cup=cup,
        waste=Fraction(profile.waste),
        goods=goods,
        prices={row.code: _price(goods[row.code], row.packs.all(), cup) for row in rows},
        recipes={draft.code: draft for draft in _recipes(cup)},
        pay={role.code: Fraction(role.hourly) * (1 + Fraction(role.on_cost)) / 60 for role in roles},
        role_codes={role.pk: role.code for role in roles},
        unbought=frozenset(row.code for row in rows if not row.active),
    )


def _fraction(value: Decimal | None) -> Fraction | None:
    return None if value is None else Fraction(value)


def _good(row: Ingredient) -> Good:
    return Good(
        code=row.code,
        name=row.name,
        base=cast(Literal["g", "each"], row.base),
        density=_fraction(row.density),
        grams_each=_fraction(row.grams_each),
        yield_=Fraction(row.yield_share),
        charge=cast(Literal["used", "packs"], row.charge),
        parts=tuple(
            GoodPart(part.code, Fraction(part.share), _fraction(part.density), _fraction(part.grams_each), part.joint)
            for part in row.parts.all()
        ),
        allergens=tuple(row.allergens),
    )


def _price(good: Good, packs: Iterable[Pack], cup: CupKind) -> Fraction | None:
    """Return the price per gram: of the preferred packs if there are any, else of all; the cheapest of them."""
    cheapest: dict[str, Pack] = {}
    for pack in packs:
        # Of packs of equal size in force only the cheapest counts.
        if pack.size not in cheapest or pack.price < cheapest[pack.size].price:
            cheapest[pack.size] = pack
    priced = [(pack.preferred, price) for pack in cheapest.values() if (price := _per_unit(good, pack, cup))]
    chosen = [price for preferred, price in priced if preferred] or [price for _, price in priced]
    return min(chosen, default=None)


def _per_unit(good: Good, pack: Pack, cup: CupKind) -> Fraction | None:
    try:
        size = good.amount_of(parse_measure(pack.size), cup)
    except MeasureError:
        return None
    return Fraction(pack.price) / size


def grams_or_none(text: str, cup: CupKind) -> Fraction | None:
    """Return the grams of a mass in the exact grammar, or None when there is none."""
    try:
        return parse_measure(text).grams(cup) if text else None
    except MeasureError:
        return None


def _recipes(cup: CupKind) -> list[RecipeDraft]:
    lines = RecipeLine.objects.select_related("ingredient", "part", "component")
    steps = RecipeStep.objects.select_related("role")
    rows = Recipe.objects.prefetch_related(Prefetch("lines", queryset=lines), Prefetch("steps", queryset=steps))
    return [recipe_draft(row, cup) for row in rows]


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
