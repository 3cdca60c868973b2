"""What an order takes and costs: demand, ready to use, as purchased, labour, overhead.

The same steps run in two kinds of number. The wide run (decimals of 80 digits) gives every figure; all its
quantities are sums, products and quotients of numbers that are not negative, so after even a million operations a
figure is right to more than 70 digits. Where a whole number is decided from a figure (batches, packs, price steps)
and the figure lies within 1e-50 of the point of decision, the exact run (fractions) decides. So decisions are those
of exact rational arithmetic, always, and the sums of hundreds of fractions are only formed where they matter.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from functools import cached_property
from typing import Generic

from costing.compiled import Compiled
from costing.offers import Basket, Offer
from costing.tables import N, ProductRow, Tables

CLOSE = Decimal("1e-50")
ONE = Decimal(1)
MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True)
class Asked:
    """A line as computed: place of the product, units asked for, units made, loads."""

    product: int
    units: int
    made: int
    loads: int


@dataclass(slots=True)
class Batch(Generic[N]):
    """One recipe over the whole order: grams made, share of each line, batches, labour."""

    recipe: int
    grams: N
    shares: dict[int, N]
    batches: int
    minutes: N
    pay: N


@dataclass(slots=True)
class Purchase(Generic[N]):
    """One ingredient over the whole order; `rate` is its cost per as-purchased amount of a line."""

    ingredient: int
    ready: N
    needed: N
    cost: N
    rate: N
    basket: Basket | None


@dataclass(slots=True)
class LineCost(Generic[N]):
    """One line's share of everything [currency; min]."""

    ingredients: N
    packaging: N
    labour: N
    minutes: N
    overhead: N

    @property
    def cost(self) -> N:
        """All of it [currency]."""
        return self.ingredients + self.packaging + self.labour + self.overhead


class Workings(ABC, Generic[N]):
    """The workings of one order in one kind of number; each step is done once, when first asked for."""

    def __init__(self, compiled: Compiled, tables: Tables[N], lines: tuple[Asked, ...], day: date) -> None:
        self.compiled = compiled
        self.tables: Tables[N] = tables
        self.lines, self.day = lines, day
        self.offers = compiled.offers_on(day)

    @abstractmethod
    def whole_up(self, value: N, exactly: Callable[[Exact], Fraction]) -> int:
        """Round a figure up to a whole number; `exactly` says how the exact run gives the same figure."""

    @abstractmethod
    def price(self, offer: Offer) -> N:
        """Give the price of what is used [currency per g or each]."""

    @abstractmethod
    def paid(self, basket: Basket) -> N:
        """Give what a basket costs [currency]."""

    def rows(self) -> Iterable[tuple[int, Asked, ProductRow[N]]]:
        """Walk over the lines with their product rows."""
        return ((at, line, self.tables.products[line.product]) for at, line in enumerate(self.lines))

    @cached_property
    def demand(self) -> tuple[dict[int, Batch[N]], dict[int, dict[int, N]]]:
        """Give batches by recipe, and what each line needs as purchased by slot [g]."""
        tables, zero = self.tables, self.tables.zero
        asked: dict[int, dict[int, N]] = {}
        for at, line, row in self.rows():
            for recipe, grams in row.fill:
                by_line = asked.setdefault(recipe, {})
                by_line[at] = by_line.get(at, zero) + grams * line.made
        batches: dict[int, Batch[N]] = {}
        needs: dict[int, dict[int, N]] = {}
        for recipe in self._order():
            by_line = asked[recipe]
            recipe_row = tables.recipes[recipe]
            total = sum(by_line.values(), zero)
            batches[recipe] = batch = self._batch(recipe, total, by_line)
            scaled = by_line
            if batch.grams != total:
                factor = batch.grams / total
                scaled = {at: grams * factor for at, grams in by_line.items()}
            _spread(recipe_row.subs, scaled, asked, zero)
            _spread(recipe_row.uses, scaled, needs, zero)
        return batches, needs

    def _order(self) -> list[int]:
        if len(self.lines) == 1:
            return list(self.compiled.reached(self.lines[0].product))
        return sorted({recipe for line in self.lines for recipe in self.compiled.reached(line.product)})

    def _batch(self, recipe: int, total: N, by_line: dict[int, N]) -> Batch[N]:
        row = self.tables.recipes[recipe]
        grams = total if row.least is None else max(total, row.least)
        batches = 1
        if row.limit is not None:
            batches = self.whole_up(grams / row.limit, lambda exact: exact.batches_exactly(recipe))
        if len(by_line) == 1:
            shares = dict.fromkeys(by_line, self.tables.one)
        else:
            shares = {at: own / total for at, own in by_line.items()}
        return Batch(
            recipe,
            grams,
            shares,
            batches,
            row.minutes_batch * batches + row.minutes_gram * grams,
            row.pay_batch * batches + row.pay_gram * grams,
        )

    @cached_property
    def packaging(self) -> dict[int, dict[int, N]]:
        """Give what each line needs as packaging by ingredient, as purchased [g or each]."""
        needs: dict[int, dict[int, N]] = {}
        for at, line, row in self.rows():
            for ingredient, amount in row.packaging:
                by_line = needs.setdefault(ingredient, {})
                by_line[at] = by_line.get(at, self.tables.zero) + amount * line.units
        return needs

    @cached_property
    def _slots_of(self) -> dict[int, list[int]]:
        """Give the slots in use by ingredient; only demand can use them."""
        found: dict[int, list[int]] = {}
        for slot in self.demand[1]:
            found.setdefault(self.tables.slots[slot].ingredient, []).append(slot)
        return found

    def need(self, ingredient: int) -> tuple[N, N, N]:
        """Give what is ready to use, what is purchased, and the weight that costs are attributed by.

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.
        """
        tables, zero = self.tables, self.tables.zero
        counted = self.compiled.counted[ingredient]
        ready = weight = purchased = zero
        if ingredient in self.packaging:
            weight = purchased = sum(self.packaging[ingredient].values(), zero)
            ready = weight * tables.yields[ingredient]
        joint: dict[str, N] = {}
        for slot in () if counted else self._slots_of.get(ingredient, ()):
            amount = sum(self.demand[1][slot].values(), zero)
            of = tables.slots[slot]
            ready, weight = ready + amount * of.share, weight + amount
            if of.joint is None:
                purchased = purchased + amount
            else:
                joint[of.joint] = max(joint.get(of.joint, zero), amount)
        if joint:
            purchased = purchased + sum(joint.values(), zero)
        return ready, purchased if counted else purchased * tables.waste, weight

    @cached_property
    def purchases(self) -> dict[int, Purchase[N]]:
        """Give every ingredient the order uses, with its cost."""
        plain = self.compiled.plain
        return {
            at: self._used(at) if plain[at] and at not in self.packaging else self._purchase(at)
            for at in sorted({*self._slots_of, *self.packaging})
        }

    def _used(self, ingredient: int) -> Purchase[N]:
        """Price what is charged by use and has no joint parts: most ingredients, so the short way."""
        tables, needs = self.tables, self.demand[1]
        offer = self.offers[ingredient]
        if offer is None:
            raise KeyError(f"no pack in force for {self.compiled.ingredients[ingredient].code}")
        ready = weight = tables.zero
        for slot in self._slots_of[ingredient]:
            amount = sum(needs[slot].values(), tables.zero)
            ready, weight = ready + amount * tables.slots[slot].share, weight + amount
        rate = self.price(offer) * tables.waste
        return Purchase(ingredient, ready, weight * tables.waste, weight * rate, rate, None)

    def _purchase(self, ingredient: int) -> Purchase[N]:
        ready, needed, weight = self.need(ingredient)
        offer = self.offers[ingredient]
        if offer is None:
            raise KeyError(f"no pack in force for {self.compiled.ingredients[ingredient].code}")
        if self.compiled.used[ingredient]:
            cost = needed * self.price(offer)
            return Purchase(ingredient, ready, needed, cost, cost / weight, None)
        units = self.whole_up(needed * offer.shelf.scale, lambda exact: exact.need(ingredient)[1] * offer.shelf.scale)
        basket = offer.basket(units)
        cost = self.paid(basket)
        return Purchase(ingredient, ready, needed, cost, cost / weight, basket)

    @cached_property
    def line_costs(self) -> tuple[LineCost[N], ...]:
        """Give each line's share of everything."""
        foods, packs = self._food_costs(), self._packaging_costs()
        labour, minutes = self._labour()
        tables, zero = self.tables, self.tables.zero
        direct = [foods[at] + packs[at] + labour[at] for at in range(len(self.lines))]
        bases = direct
        total = sum(bases, zero)
        if not total:
            bases = [tables.one * line.units for line in self.lines]
            total = sum(bases, zero)
        per_order = tables.order_overhead / total
        costs = []
        for at, line, row in self.rows():
            hours = minutes[at] * tables.labour_hour / MINUTES_PER_HOUR
            overhead = hours + row.station_load * line.loads + bases[at] * per_order
            costs.append(LineCost(foods[at], packs[at], labour[at], minutes[at], overhead))
        return tuple(costs)

    def _food_costs(self) -> list[N]:
        costs = [self.tables.zero] * len(self.lines)
        for slot, by_line in self.demand[1].items():
            rate = self.purchases[self.tables.slots[slot].ingredient].rate
            for at, amount in by_line.items():
                costs[at] = costs[at] + amount * rate
        return costs

    def _packaging_costs(self) -> list[N]:
        costs = [self.tables.zero] * len(self.lines)
        for ingredient, by_line in self.packaging.items():
            rate = self.purchases[ingredient].rate
            for at, amount in by_line.items():
                costs[at] = costs[at] + amount * rate
        return costs

    def _labour(self) -> tuple[list[N], list[N]]:
        pay = [row.pay_load * line.loads + row.pay_unit * line.made for _, line, row in self.rows()]
        minutes = [row.minutes_load * line.loads + row.minutes_unit * line.made for _, line, row in self.rows()]
        for batch in self.demand[0].values():
            for at, share in batch.shares.items():
                pay[at] = pay[at] + batch.pay * share
                minutes[at] = minutes[at] + batch.minutes * share
        return pay, minutes

    @cached_property
    def cost(self) -> N:
        """Give the cost of all lines together, summed by what it is spent on [currency]."""
        tables, minutes = self.tables, self.tables.zero
        total: N = sum((purchase.cost for purchase in self.purchases.values()), minutes)
        for batch in self.demand[0].values():
            total, minutes = total + batch.pay, minutes + batch.minutes
        for _, line, row in self.rows():
            total = total + row.pay_load * line.loads + row.pay_unit * line.made + row.station_load * line.loads
            minutes = minutes + row.minutes_load * line.loads + row.minutes_unit * line.made
        overhead: N = minutes * tables.labour_hour / MINUTES_PER_HOUR + tables.order_overhead
        return total + overhead


def _spread(uses: tuple[tuple[int, N], ...], scaled: dict[int, N], into: dict[int, dict[int, N]], zero: N) -> None:
    """Add what each line needs of each thing used, per gram of output times grams."""
    for thing, per_gram in uses:
        by_line = into.get(thing)
        if by_line is None:
            into[thing] = {at: grams * per_gram for at, grams in scaled.items()}
            continue
        for at, grams in scaled.items():
            by_line[at] = by_line.get(at, zero) + grams * per_gram


class Exact(Workings[Fraction]):
    """The exact run."""

    def whole_up(self, value: Fraction, exactly: Callable[[Exact], Fraction]) -> int:
        return -(-value.numerator // value.denominator)

    def price(self, offer: Offer) -> Fraction:
        return offer.price

    def paid(self, basket: Basket) -> Fraction:
        return basket.cost

    def batches_exactly(self, recipe: int) -> Fraction:
        """Give grams made ÷ batch limit of a recipe."""
        limit = self.tables.recipes[recipe].limit
        return self.demand[0][recipe].grams / (limit or 1)


class Wide(Workings[Decimal]):
    """The fast run, with an exact one beside it for what is too close to call."""

    def __init__(self, compiled: Compiled, lines: tuple[Asked, ...], day: date) -> None:
        super().__init__(compiled, compiled.wide, lines, day)

    @cached_property
    def exact(self) -> Exact:
        """The exact run of the same order."""
        return Exact(self.compiled, self.compiled.exact, self.lines, self.day)

    def whole_up(self, value: Decimal, exactly: Callable[[Exact], Fraction]) -> int:
        nearest = value.to_integral_value()
        if abs(value - nearest) <= CLOSE * max(abs(value), ONE):
            sure = exactly(self.exact)
            return -(-sure.numerator // sure.denominator)
        return int(value.to_integral_value(ROUND_CEILING))

    def price(self, offer: Offer) -> Decimal:
        return offer.wide_price

    def paid(self, basket: Basket) -> Decimal:
        return basket.wide_cost
