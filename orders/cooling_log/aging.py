"""What was measured so early that it is older than it keeps when it is used: a dessert at the hand-over, a batch in it.

A batch is used when its plan has it ready, at the earliest: what was made before that by more than its longest hold was
made for another day. Where nobody states that hold, it is as long as a plan lets it lie.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from fractions import Fraction

from django.utils import timezone

from catalog.recipes.models import Recipe as RecipeRow
from costing.contract import Book, Step
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.plans import UNSTATED, leaves_at
from orders.cooling_log.sharing import as_made
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item


def aged(order: Order, made: Mapping[Item, CoolingRecord], book: Book) -> dict[Item, Fraction]:
    """Return how long what is older than it keeps is kept [min]; ``made`` are the records that count.

    A query where a batch was measured. Where nobody entered how long a dessert keeps, the longest that food is kept
    counts.
    """
    return dict(_desserts(order, made, book)) | dict(_batches(order, made, book))


def _begun(record: CoolingRecord) -> datetime | None:
    return record.started_at or min((one.at for one in record.read), default=None)


def _desserts(order: Order, made: Mapping[Item, CoolingRecord], book: Book) -> Iterator[tuple[Item, Fraction]]:
    steps = {product.code: product.steps for product in book.products}
    for line in order.lines.all():
        item = Item("product", line.product_id)
        begun = _begun(made[item]) if item in made else None
        if begun is None:
            continue
        entered = line.product.keeps_hours
        keeps = [Fraction(UNSTATED // timedelta(minutes=1)) if entered is None else Fraction(entered) * 60]
        keeps += _last_hold(steps.get(line.product.code, ()))
        if order.window_start - begun > _minutes(min(keeps)):
            yield item, min(keeps)


def _batches(order: Order, made: Mapping[Item, CoolingRecord], book: Book) -> Iterator[tuple[Item, Fraction]]:
    items = {item.pk: item for item in made if item.kind == "recipe"}
    codes = RecipeRow.objects.filter(pk__in=items).values_list("pk", "code") if items else ()
    steps = {recipe.code: recipe.steps for recipe in book.recipes}
    ends = as_made([order], book, at=timezone.now()).of(order.pk) if items else {}
    for pk, code in codes:
        begun, of_recipe = _begun(made[items[pk]]), steps.get(code, ())
        used = ends.get((code, len(of_recipe) - 1), leaves_at(order))
        hold = next(_last_hold(of_recipe), Fraction(SAFE_COLD_WAIT_MIN))
        if begun is not None and used - begun > _minutes(hold):
            yield items[pk], hold


def _last_hold(steps: tuple[Step, ...]) -> Iterator[Fraction]:
    """Yield how long it may lie after its last step, where that is stated."""
    if steps and steps[-1].hold_max is not None:
        yield Fraction(steps[-1].hold_max)


def _minutes(minutes: Fraction) -> timedelta:
    return timedelta(minutes=float(minutes))
