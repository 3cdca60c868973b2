"""Reading ingredients, packs and suppliers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from django.core.paginator import Page, Paginator
from django.db.models import Count, Exists, Max, OuterRef, Prefetch, Q, QuerySet
from django.db.models.functions import Coalesce

from catalog.pantry.models import Ingredient, Pack, Supplier
from costing.measures.measure import MeasureError
from costing.measures.units import CupKind

#: Ingredients on a page of the list.
SHOWN: Final = 50


@dataclass(frozen=True, slots=True)
class PackRow:
    """A pack as the page shows it. ``unit_price`` is per kg, or each for what is counted; None with a ``problem``."""

    pack: Pack
    in_force: bool
    future: bool
    unit_price: Decimal | None
    problem: MeasureError | None


#: Orders of the list of ingredients.
SORTS: Final = {"name": ("name", "pk"), "priced": ("-priced", "name", "pk")}


def ingredient_page(*, search: str = "", active: bool = True, sort: str = "name", page: str | None = None) -> Page[Any]:
    """Return a page of ingredients with their packs and whether they are ``in_recipe``, in three queries.

    ``sort`` is a key of `SORTS`: by name, or by the day of the latest price, the newest first.
    """
    packs = Prefetch("packs", queryset=Pack.objects.select_related("supplier").order_by("position", "pk"))
    in_recipe = Exists(Ingredient.objects.filter(pk=OuterRef("pk"), recipe_lines__isnull=False))
    rows = Ingredient.objects.filter(active=active).annotate(in_recipe=in_recipe)
    rows = rows.annotate(priced=Coalesce(Max("packs__starts"), date.min)).prefetch_related(packs)
    rows = rows.order_by(*SORTS.get(sort, SORTS["name"]))
    found = rows.filter(Q(name__icontains=search) | Q(code__icontains=search)) if search else rows
    return Paginator(found, SHOWN).get_page(page)


def pack_rows(ingredient: Ingredient, packs: Iterable[Pack], *, day: date, cup: str) -> list[PackRow]:
    """Return the packs with their price per kilogram (or each), newest start first."""
    ordered = sorted(packs, key=lambda pack: (pack.starts, pack.pk), reverse=True)
    return [_pack_row(ingredient, pack, day, cup) for pack in ordered]


@dataclass(frozen=True, slots=True)
class Prices:
    """An ingredient's prices: those of today and those to come are shown, the others are the history."""

    current: list[PackRow]
    next: list[PackRow]
    past: list[PackRow]

    @property
    def shown(self) -> list[PackRow]:
        """Today's, each followed by those to come of the same pack and supplier; then those of other packs."""
        rest, rows = list(self.next), []
        for row in self.current:
            own = [one for one in rest if _same_pack(one, row)]
            rest = [one for one in rest if one not in own]
            rows += [row, *own]
        return rows + rest


def _same_pack(one: PackRow, other: PackRow) -> bool:
    return (one.pack.measure, one.pack.supplier_id) == (other.pack.measure, other.pack.supplier_id)


def prices_of(ingredient: Ingredient, *, day: date, cup: str) -> Prices:
    """Return an ingredient's prices on a day, in one query."""
    packs = ingredient.packs.select_related("supplier")
    rows = pack_rows(ingredient, packs, day=day, cup=cup)
    current = sorted((row for row in rows if row.in_force), key=lambda row: (row.pack.position, row.pack.pk))
    past = [row for row in rows if not row.in_force and not row.future]
    return Prices(current, [row for row in reversed(rows) if row.future], past)


def packs_in_force(ingredient: Ingredient, *, day: date, cup: str) -> list[PackRow]:
    """Return the packs with a price in force on a day; prefetch ``packs`` for many ingredients."""
    return [pack for pack in pack_rows(ingredient, ingredient.packs.all(), day=day, cup=cup) if pack.in_force]


def _pack_row(ingredient: Ingredient, pack: Pack, day: date, cup: str) -> PackRow:
    price, problem = None, None
    try:
        price = unit_price(ingredient, pack, cup=cup)
    except MeasureError as error:
        problem = error
    covers = pack.starts <= day and (pack.ends is None or pack.ends >= day)
    return PackRow(pack, covers, pack.starts > day, price, problem)


def unit_price(ingredient: Ingredient, pack: Pack, *, cup: str) -> Decimal:
    """Return the price per kilogram, or per piece for what is only counted.

    Raises
    ------
    MeasureError
        If the size cannot be weighed: no density, no piece weight.
    """
    measure = pack.measure
    kind: CupKind = "metric" if cup == "metric" else "us"
    if ingredient.base == Ingredient.Base.EACH:
        amount = measure.in_base(kind)
    else:
        density, each = _fraction(ingredient.density), _fraction(ingredient.grams_each)
        amount = measure.grams(cup=kind, density=density, grams_each=each) / 1000
    price = Fraction(pack.price) / amount
    return Decimal(price.numerator) / Decimal(price.denominator)


def _fraction(number: Decimal | None) -> Fraction | None:
    return None if number is None else Fraction(number)


def supplier_list() -> QuerySet[Supplier]:
    """Return suppliers with how many packs are theirs."""
    return Supplier.objects.annotate(pack_count=Count("packs", distinct=True)).order_by("name")


def ingredient_users(ingredient: Ingredient) -> list[str]:
    """Return what still uses an ingredient: recipes and products, by name."""
    products = ingredient.packaging.order_by("product__name").values_list("product__name", flat=True).distinct()
    return [*recipes_with(ingredient), *products]


def recipes_with(ingredient: Ingredient) -> list[str]:
    """Return the recipes with a line of an ingredient, by name."""
    lines = ingredient.recipe_lines.order_by("recipe__name")
    return list(lines.values_list("recipe__name", flat=True).distinct())
