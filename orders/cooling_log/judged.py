"""The limits by which today's Book judges what is measured of an order; else those of the rule in force."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from catalog.cooling.batch_reports import BatchCold
from catalog.cooling.selectors import ColdTime, cold_times, first_broken, rule_in_force
from catalog.recipes.models import Recipe as RecipeRow
from costing.chilling import AMBIENT, COLD_C, PROFILES, Trial
from costing.contract import Book
from orders.cooling_log.deadlines import Limits
from orders.cooling_log.models import CoolingRecord
from orders.quotes.cooling.amounts import hot_batches, parts_of
from orders.quotes.cooling.broken import names_apart
from orders.quotes.cooling.selectors import Item, first_failing
from orders.quotes.models import CoolingOverride


def products_judged(units: Mapping[str, int], book: Book) -> dict[Item, Limits]:
    """Return the limits by which the Book judges products: of what cools twice those that it breaks, else the last."""
    return {
        Item("product", one.product_id): _of_product(one.times) for one in cold_times(units, book).values() if one.times
    }


def _of_product(times: Sequence[ColdTime]) -> Limits:
    worst = first_broken(times) or times[-1]
    names = names_apart([(time.step, time.name) for time in times])
    others = tuple((names[time.step], time.rule) for time in times if time.rule != worst.rule)
    return Limits(worst.rule, worst.legs, worst.limit_c, names[worst.step], others)


@dataclass(frozen=True, slots=True)
class BatchJudged:
    """A batch that the Book judges: its recipe, the limits, and in how many vessels it cools.

    ``likely_min`` is how long its fastest cooling likely takes until it is cold [min], where that is estimated.
    """

    name: str
    code: str
    limits: Limits
    parts: int
    likely_min: float | None = None


def batches_judged(units: Mapping[str, int], book: Book) -> dict[Item, BatchJudged]:
    """Return the batches that the Book judges: also those that keep the rule by it."""
    hot = {one.recipe.code: one for one in hot_batches(units, book) if one.times}
    keys = dict(RecipeRow.objects.filter(code__in=hot).values_list("code", "pk")) if hot else {}
    return {
        Item("recipe", keys[code]): BatchJudged(one.recipe.name, code, _limits_of(one), parts_of(one), _likely(one))
        for code, one in hot.items()
        if code in keys
    }


def products_likely(codes: Iterable[str], book: Book) -> dict[Item, float]:
    """Return how long the fastest cooling of products likely takes until they are cold [min], where it is estimated."""
    cold = cold_times(codes, book).values()
    found = {Item("product", one.product_id): _fastest(each.trial for each in one.hot) for one in cold}
    return {item: minutes for item, minutes in found.items() if minutes is not None}


def _likely(one: BatchCold) -> float | None:
    return _fastest(each.trial for each in one.times)


def _fastest(trials: Iterable[Trial]) -> float | None:
    return min((found.cold_likely for found in trials if found.cold_likely is not None), default=None)


def _limits_of(one: BatchCold) -> Limits:
    """Return the limits of a batch: of one that cools twice those that it breaks, else the last."""
    worst = first_failing(one) or one.times[-1]
    plan = worst.cycle.plan
    names = names_apart([(each.cycle.last_at, str(each.cycle.last)) for each in one.times])
    steps = [(names[each.cycle.last_at], each.cycle.plan.rule.title) for each in one.times]
    others = tuple((step, rule) for step, rule in steps if rule != plan.rule.title)
    return Limits(plan.rule.title, plan.rule.legs, plan.cold_c, names[worst.cycle.last_at], others)


def limits_in_force(override: CoolingOverride | None, records: Sequence[CoolingRecord]) -> Limits:
    """Return the limits of the kitchen's rule; that for cooked food, unless it was the other one that was recorded."""
    recorded = {"" if override is None else override.rule, *(row.rule for row in records)}
    rule = rule_in_force(cooked=PROFILES[AMBIENT].title[:200] not in recorded)
    return Limits(rule.title, rule.legs, COLD_C if rule.cold_c is None else rule.cold_c)


def limits_of(
    item: Item,
    units: Mapping[str, int],
    book: Book | None,
    override: CoolingOverride | None,
    rows: Sequence[CoolingRecord],
) -> Limits:
    """Return the limits by which an item of an order is measured today."""
    if book is not None and item.kind == "product":
        found = products_judged(units, book).get(item)
    else:
        found = None if book is None or (batch := batches_judged(units, book).get(item)) is None else batch.limits
    return found or limits_in_force(override, rows)
