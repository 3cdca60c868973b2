"""The quantities and costs of an order: demand, ready to use, as purchased, labor, overhead.

The same computation runs in two kinds of number: wide (`costing.requirements.wide_workings`) and exact.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import Generic

from costing.purchasing.offers import Basket
from costing.requirements.book_tables import BookTables, N, ProductRow, RecipeRow
from costing.requirements.compiled_book import CompiledBook, LineCost, LineDemand, Purchase, RecipeBatches
from costing.timing.steps import hands


class Workings(ABC, Generic[N]):
    """The workings of one order in one kind of number. Each result is computed when first read, then cached.

    Demand is summed from products down to the recipes they use, one sum per recipe: M(r) = f(r) × Σ over lines of
    d(l, r). Costs are summed from ingredients up: a gram of r that a line needs costs f(r) × Σ of the costs of a gram
    of each thing in it, plus its share of r's labor. Both are the contract's sums in another order (once f is known,
    all are linear in d(l, r)), so nothing has to be computed for every pair of line and recipe.
    """

    def __init__(self, compiled: CompiledBook, tables: BookTables[N], lines: tuple[LineDemand, ...], day: date) -> None:
        self.compiled = compiled
        self.tables: BookTables[N] = tables
        self.lines, self.day = lines, day
        self.offers = compiled.offers_on(day)

    @abstractmethod
    def whole_up(self, value: N, exactly: Callable[[ExactWorkings], Fraction]) -> int:
        """Round a figure up to a whole number.

        Parameters
        ----------
        value : Decimal or Fraction
            Any figure.
        exactly : callable
            Exact workings -> the same figure as a fraction.
        """

    @abstractmethod
    def paid(self, basket: Basket) -> N:
        """Return the price of a basket [currency].

        Parameters
        ----------
        basket : Basket
            Whole packs.
        """

    @abstractmethod
    def rate(self, ingredient: int) -> N:
        """Return the cost of an ingredient with a fixed rate [currency per as-purchased g or each].

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.
        """

    @abstractmethod
    def fixed_food(self, recipe: int) -> N:
        """Return the cost of the ingredients with a fixed rate in a gram of a recipe [currency/g].

        Parameters
        ----------
        recipe : int
            Place of the recipe.
        """

    @cached_property
    def sequence(self) -> tuple[int, ...]:
        """The recipes the order needs, each before the recipes it uses."""
        reached = self.compiled.reached
        if len(self.lines) == 1:
            return reached(self.lines[0].product)
        return tuple(sorted(set().union(*(reached(line.product) for line in self.lines))))

    @cached_property
    def _made(self) -> tuple[dict[int, RecipeBatches[N]], dict[int, N]]:
        """Compute the batches of each recipe, and the purchases by slot [g] of ingredients without a fixed rate."""
        tables, zero = self.tables, self.tables.zero
        asked = self._filled()
        batches: dict[int, RecipeBatches[N]] = {}
        needs: dict[int, N] = {}
        for recipe in self.sequence:
            row = tables.recipes[recipe]
            batches[recipe] = batch = self._batch(recipe, row, asked[recipe])
            grams = batch.grams
            for sub, per_gram in row.subs:
                asked[sub] = asked.get(sub, zero) + grams * per_gram
            for slot, per_gram in row.varying:
                needs[slot] = needs.get(slot, zero) + grams * per_gram
        return batches, needs

    def _filled(self) -> dict[int, N]:
        """Return what the products of the order are filled with, by recipe [g]."""
        filled: dict[int, N] = {}
        for line in self.lines:
            for recipe, grams in self.tables.products[line.product].fill:
                filled[recipe] = filled.get(recipe, self.tables.zero) + grams * line.made
        return filled

    def _batch(self, recipe: int, row: RecipeRow[N], asked: N) -> RecipeBatches[N]:
        grams = asked if row.least is None or asked >= row.least else row.least
        batches = 1
        if row.limit is not None:
            batches = self.whole_up(grams / row.limit, lambda exact: exact.batches_exactly(recipe))
        minutes = hands(row.minutes_batch, row.minutes_gram, batches, grams)
        pay = hands(row.pay_batch, row.pay_gram, batches, grams)
        return RecipeBatches(recipe, asked, grams, batches, minutes, pay)

    @property
    def batches(self) -> dict[int, RecipeBatches[N]]:
        """Batches by recipe, each recipe before the recipes it uses."""
        return self._made[0]

    @cached_property
    def needs(self) -> dict[int, N]:
        """Purchases for recipes by slot [g]."""
        needs: dict[int, N] = {}
        for recipe, batch in self.batches.items():
            for slot, per_gram in self.tables.recipes[recipe].uses:
                needs[slot] = needs.get(slot, self.tables.zero) + batch.grams * per_gram
        return needs

    @property
    def demand(self) -> tuple[dict[int, RecipeBatches[N]], dict[int, N]]:
        """Batches by recipe, and the purchases for them by slot [g]."""
        return self.batches, self.needs

    @cached_property
    def packaging(self) -> dict[int, N]:
        """Purchases of packaging by ingredient [g or each]."""
        needs: dict[int, N] = {}
        for line in self.lines:
            for ingredient, amount in self.tables.products[line.product].packaging:
                needs[ingredient] = needs.get(ingredient, self.tables.zero) + amount * line.units
        return needs

    def ready(self, ingredient: int) -> N:
        """Return the amount of an ingredient that is ready to use [g or each].

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.
        """
        tables, needs = self.tables, self.needs
        ready: N = tables.zero
        if ingredient in self.packaging:
            ready = self.packaging[ingredient] * tables.yields[ingredient]
        if not self.compiled.counted[ingredient]:
            for slot in self.compiled.slots_of[ingredient]:
                if slot in needs:
                    ready = ready + needs[slot] * tables.slots[slot].share
        return ready

    def need(self, ingredient: int) -> tuple[N, N, N]:
        """Return the amount ready to use, the amount purchased, and the weight by which costs are attributed to lines.

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.
        """
        purchased, weight = self._needed(ingredient)
        return self.ready(ingredient), purchased, weight

    def _needed(self, ingredient: int) -> tuple[N, N]:
        """Return the amount purchased, and the weight by which costs are attributed to lines."""
        tables, zero = self.tables, self.tables.zero
        weight = self.packaging.get(ingredient, zero)
        if self.compiled.counted[ingredient]:
            return weight, weight
        needs = self._made[1] if self.compiled.varying[ingredient] else self.needs
        slots = self.compiled.slots_of[ingredient]
        if len(slots) == 1 and ingredient not in self.packaging:
            amount = needs[slots[0]]
            return amount * tables.waste, amount
        single = weight
        joint: dict[str, N] = {}
        for slot in slots:
            amount = needs.get(slot, zero)
            if amount:
                weight = weight + amount
                group = tables.slots[slot].joint
                if group is None:
                    single = single + amount
                else:
                    joint[group] = max(joint.get(group, zero), amount)
        purchased = sum(joint.values(), single) if joint else single
        return purchased * tables.waste, weight

    @cached_property
    def varying(self) -> dict[int, Purchase[N]]:
        """Purchases of the ingredients whose rate depends on the order: whole packs, joint parts."""
        slots, varying = self.tables.slots, self.compiled.varying
        used = {slots[slot].ingredient for slot in self._made[1]}
        used.update(at for at in self.packaging if varying[at])
        return {at: self._varying(at) for at in used}

    def _varying(self, ingredient: int) -> Purchase[N]:
        needed, weight = self._needed(ingredient)
        offer = self.offers[ingredient]
        if offer is None:
            raise KeyError(f"no pack in force for {self.compiled.ingredients[ingredient].code}")
        if self.compiled.used[ingredient]:
            cost = needed * self.tables.of(offer.price)
            return Purchase(ingredient, needed, cost, cost / weight, None)
        scale = offer.shelf.scale
        units = self.whole_up(needed * scale, lambda exact: exact._needed(ingredient)[0] * scale)
        basket = offer.basket(units)
        cost = self.paid(basket)
        return Purchase(ingredient, needed, cost, cost / weight, basket)

    @cached_property
    def purchases(self) -> dict[int, Purchase[N]]:
        """Every ingredient the order uses, with its cost."""
        tables: BookTables[N] = self.tables
        found = dict(self.varying)
        slots_of, waste = self.compiled.slots_of, tables.waste
        needs: dict[int, N] = self.needs
        packaging: dict[int, N] = self.packaging
        for at in {*(tables.slots[slot].ingredient for slot in needs), *packaging} - found.keys():
            slots = slots_of[at]
            if len(slots) == 1 and at not in packaging:
                weight = needs[slots[0]]
                needed = weight * waste
            else:
                needed, weight = self._needed(at)
            rate = self.rate(at)
            found[at] = Purchase(at, needed, weight * rate, rate, None)
        return dict(sorted(found.items()))

    def rate_of(self, ingredient: int) -> N:
        """Return the cost of an ingredient per as-purchased amount of a line [currency per g or each].

        Parameters
        ----------
        ingredient : int
            Place of the ingredient.
        """
        return self.varying[ingredient].rate if self.compiled.varying[ingredient] else self.rate(ingredient)

    @cached_property
    def per_gram(self) -> dict[int, tuple[N, N, N]]:
        """Cost and time of a gram of a recipe in a line: ingredients, pay, minutes [currency, currency, min]."""
        tables, varying = self.tables, self.varying
        found: dict[int, tuple[N, N, N]] = {}
        for recipe in reversed(self.sequence):
            row, batch = tables.recipes[recipe], self.batches[recipe]
            food = self.fixed_food(recipe)
            for slot, amount in row.varying:
                food = food + amount * varying[tables.slots[slot].ingredient].rate
            pay = minutes = tables.zero
            for sub, amount in row.subs:
                sub_food, sub_pay, sub_minutes = found[sub]
                food, pay, minutes = food + amount * sub_food, pay + amount * sub_pay, minutes + amount * sub_minutes
            pay, minutes = pay * batch.grams + batch.pay, minutes * batch.grams + batch.minutes
            if batch.grams != batch.asked:
                food = food * batch.grams / batch.asked
            found[recipe] = (food, pay / batch.asked, minutes / batch.asked)
        return found

    @cached_property
    def line_costs(self) -> tuple[LineCost[N], ...]:
        """Return the costs of each line."""
        tables = self.tables
        costs = tuple(self._line(line, tables.products[line.product]) for line in self.lines)
        if tables.order_overhead:
            bases = [cost.ingredients + cost.packaging + cost.labor for cost in costs]
            total = sum(bases, tables.zero)
            if not total:
                bases = [tables.one * line.units for line in self.lines]
                total = sum(bases, tables.zero)
            for cost, base in zip(costs, bases, strict=True):
                cost.per_order = base / total * tables.order_overhead
                cost.overhead = cost.overhead + cost.per_order
        return costs

    def _line(self, line: LineDemand, row: ProductRow[N]) -> LineCost[N]:
        """Compute the cost of a line without the overhead per order."""
        food = pay = minutes = packaging = self.tables.zero
        for recipe, grams in row.fill:
            gram_food, gram_pay, gram_minutes = self.per_gram[recipe]
            food, pay, minutes = food + grams * gram_food, pay + grams * gram_pay, minutes + grams * gram_minutes
        for ingredient, amount in row.packaging:
            packaging = packaging + amount * self.rate_of(ingredient)
        made, loads = line.made, line.loads
        pay = hands(row.pay_load, pay + row.pay_unit, loads, made)
        minutes = hands(row.minutes_load, minutes + row.minutes_unit, loads, made)
        overhead = minutes * self.tables.labor_minute + row.station_load * loads
        return LineCost(food * made, packaging * line.units, pay, minutes, overhead, self.tables.zero)

    @cached_property
    def cost(self) -> N:
        """Return the cost of all lines together [currency]."""
        return sum((cost.cost for cost in self.line_costs), self.tables.zero)

    @cached_property
    def _more_per_gram(self) -> dict[int, N]:
        """A lower bound of what one more gram of a recipe adds to the cost of the line that needs it [currency/g].

        Ingredients with a fixed rate and labor per gram grow in proportion, in every recipe that is already above its
        smallest batch. Other ingredients, whole batches and whole packs cannot become fewer, so they count as zero.
        """
        tables = self.tables
        found: dict[int, N] = {}
        for recipe in reversed(self.sequence):
            row, batch = tables.recipes[recipe], self.batches[recipe]
            if batch.grams == batch.asked:
                own = self.fixed_food(recipe) + row.pay_gram + row.minutes_gram * tables.labor_minute
                found[recipe] = sum((amount * found[sub] for sub, amount in row.subs), own)
            else:
                found[recipe] = tables.zero
        return found

    def more_per_unit(self, product: int) -> N:
        """Return a lower bound of what one more unit of a product adds to the cost of its line [currency].

        Parameters
        ----------
        product : int
            Place of a product of the order.
        """
        row, tables = self.tables.products[product], self.tables
        more = row.pay_unit + row.minutes_unit * tables.labor_minute
        for recipe, grams in row.fill:
            more = more + grams * self._more_per_gram[recipe]
        for ingredient, amount in row.packaging:
            if not self.compiled.varying[ingredient]:
                more = more + amount * self.rate(ingredient)
        return more

    def of_line(self, at: int) -> tuple[dict[int, N], dict[int, N]]:
        """Return what one line needs by recipe, and the purchases for it by slot [g].

        Parameters
        ----------
        at : int
            Place of the line.
        """
        tables, line, zero = self.tables, self.lines[at], self.tables.zero
        asked = {recipe: grams * line.made for recipe, grams in tables.products[line.product].fill}
        needs: dict[int, N] = {}
        for recipe in self.compiled.reached(line.product):
            row, batch = tables.recipes[recipe], self.batches[recipe]
            grams = asked[recipe] * batch.grams / batch.asked
            for sub, per_gram in row.subs:
                asked[sub] = asked.get(sub, zero) + grams * per_gram
            for slot, per_gram in row.uses:
                needs[slot] = needs.get(slot, zero) + grams * per_gram
        return asked, needs


class ExactWorkings(Workings[Fraction]):
    """The workings in exact fractions."""

    def whole_up(self, value: Fraction, exactly: Callable[[ExactWorkings], Fraction]) -> int:
        return -(-value.numerator // value.denominator)

    def paid(self, basket: Basket) -> Fraction:
        return basket.cost

    def rate(self, ingredient: int) -> Fraction:
        offer = self.offers[ingredient]
        if offer is None:
            raise KeyError(f"no pack in force for {self.compiled.ingredients[ingredient].code}")
        return offer.price if self.compiled.counted[ingredient] else offer.price * self.tables.waste

    def fixed_food(self, recipe: int) -> Fraction:
        slots, varying = self.tables.slots, self.compiled.varying
        used = ((slots[slot].ingredient, amount) for slot, amount in self.tables.recipes[recipe].uses)
        return sum((amount * self.rate(at) for at, amount in used if not varying[at]), Fraction(0))

    def batches_exactly(self, recipe: int) -> Fraction:
        """Return grams made ÷ batch limit of a recipe [batches].

        Only the recipe and what uses it are computed, not the whole order.

        Parameters
        ----------
        recipe : int
            Place of a recipe with a batch limit.
        """
        limit = self.tables.recipes[recipe].limit
        return self.compiled.grams_made(recipe, self.sequence, self._filled()) / (limit or 1)
