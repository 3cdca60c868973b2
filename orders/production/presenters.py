"""The kitchen's sheets in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display
from catalog.web.display import current
from catalog.web.display.handy import handy_measure, weighed
from catalog.web.display.measures import measure_text
from costing.contract import Recipe
from costing.measures.units import CupKind
from orders.cooling_log.presenters import MarkShown, in_dessert, mark_shown
from orders.cooling_log.selectors import Marks
from orders.orders.models import Order
from orders.production.label_marks import BatchesIn
from orders.production.scaled_recipes import ScaledLine, ScaledRecipe
from orders.production.shopping import Missing, SupplierList, ToBuy
from orders.production.tasks import Made, Task
from orders.quotes.cooling.selectors import Item

_MISSING: Final = {Missing.SUPPLIER: marked("Supplier not named"), Missing.PACK: marked("No current pack")}


@dataclass(frozen=True)
class SupplierTable:
    """The shopping list of one supplier, headed by its name or by what is missing."""

    supplier: str
    rows: list[ToBuy]
    cost: Fraction


def supplier_tables(lists: Iterable[SupplierList]) -> list[SupplierTable]:
    """Write the heading of each part of the shopping list."""
    return [
        SupplierTable(
            gettext(_MISSING[one.supplier]) if isinstance(one.supplier, Missing) else one.supplier, one.rows, one.cost
        )
        for one in lists
    ]


@dataclass(frozen=True)
class IngredientRow:
    """A line of a recipe in kitchen measures."""

    name: str
    written: str
    batch: str
    grams: Fraction
    all_grams: Fraction


@dataclass(frozen=True)
class RecipeSheet:
    """A recipe scaled to the orders' total amount, line by line."""

    recipe: ScaledRecipe
    lines: list[IngredientRow]


def recipe_sheets(recipes: Iterable[ScaledRecipe], *, cup: CupKind) -> list[RecipeSheet]:
    """Write each recipe's lines, in cups of the kitchen's kind."""
    return [RecipeSheet(recipe, [_ingredient_row(line, cup) for line in recipe.lines]) for recipe in recipes]


def _ingredient_row(line: ScaledLine, cup: CupKind) -> IngredientRow:
    return IngredientRow(
        name=f"{line.name}, {line.part}" if line.part else line.name,
        written=measure_text(line.written),
        batch=handy_measure(line.batch, cup, line.grams, pounds=_pounds()),
        grams=line.grams,
        all_grams=line.all_grams,
    )


def made_rows(made: Iterable[Made], orders: Iterable[Order], marks: Marks) -> list[tuple[Made, list[MarkShown]]]:
    """Pair each product that is made with the marks of all orders it is made for."""
    shown: dict[str, list[MarkShown]] = {}
    for order in orders:
        of_order = marks.get(order.pk, {})
        for line in order.lines.all():
            mark = of_order.get(Item("product", line.product_id))
            if mark is not None:
                shown.setdefault(line.product.code, []).append(mark_shown(mark, order.number))
    return [(row, shown.get(row.code, [])) for row in made]


def inside_words(orders: Iterable[Order], inside: BatchesIn) -> dict[str, list[str]]:
    """Write by product what is the matter with the batches that go into it, and for which orders, each thing once."""
    found: dict[str, dict[str, list[str]]] = {}
    for order in orders:
        for line in order.lines.all():
            of_product = found.setdefault(line.product.code, {})
            for mark in inside.get((order.pk, line.product_id), ()):
                of_product.setdefault(in_dessert(mark), []).append(order.number)
    return {code: [_for_orders(words, numbers) for words, numbers in each.items()] for code, each in found.items()}


def _for_orders(words: str, numbers: list[str]) -> str:
    return gettext("%(orders)s, %(words)s") % {"orders": display.joined(numbers), "words": words}


def task_rows(tasks: Iterable[Task]) -> list[tuple[Task, str]]:
    """Pair each task with how much is made."""
    return [(task, _made(task)) for task in tasks]


def _made(task: Task) -> str:
    recipe = isinstance(task.of, Recipe)
    made = weighed(task.made, pounds=_pounds()) if recipe else f"{task.made}"
    words = {"made": made, "count": task.loads}
    if task.loads == 1:
        return made
    if recipe:
        return ngettext("%(made)s in %(count)s batch", "%(made)s in %(count)s batches", task.loads) % words
    return ngettext("%(made)s in %(count)s load", "%(made)s in %(count)s loads", task.loads) % words


def _pounds() -> bool:
    return current().measures == "us"
