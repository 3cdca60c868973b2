"""A recipe's figures, line by line: grams, cost, loss, labor, and problems.

Costs are for the amounts used (as purchased, with the kitchen's waste), at the prices in force; the cost of whole packs
and least batches is added only when an order is priced. Parts of one piece (juice and zest) count once.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from typing import Any, Self

from catalog.pantry.declarations import Declaration, declared_of, together
from catalog.recipes.cost_basis import CostBasis, LineDraft, RecipeDraft
from catalog.records.reasons import Reason
from costing.measures.measure import Measure, MeasureError, NoDensity, NoPieceWeight, parse_measure
from costing.timing.steps import hands

#: (ingredient, part) -> grams ready to use
Needs = dict[tuple[str, str], Fraction]
ZERO = Fraction(0)


#: Most levels of recipes inside recipes; a limit for the recursion.
DEEPEST = 40


class LineProblem(Exception):
    """A problem of a line; ``placed`` when its reason already says where."""

    def __init__(self, code: str, *, placed: bool = False, **params: Any) -> None:
        self.reason, self.placed = Reason(code, params), placed
        super().__init__(code)


@dataclass(slots=True)
class Flow:
    """The inputs of an amount: its grams, ingredients ready to use, recipes made on the way."""

    grams: Fraction = ZERO
    needs: Needs = field(default_factory=lambda: defaultdict(Fraction))
    demand: dict[str, Fraction] = field(default_factory=lambda: defaultdict(Fraction))

    def add(self, other: Self, factor: Fraction = Fraction(1)) -> None:
        """Add another flow, scaled."""
        self.grams += other.grams * factor
        for thing, grams in other.needs.items():
            self.needs[thing] += grams * factor
        for recipe, grams in other.demand.items():
            self.demand[recipe] += grams * factor


@dataclass(frozen=True, slots=True)
class LineCard:
    """A line's figures. With a ``problem`` the recipe cannot be computed; a ``gap`` only leaves its cost unknown."""

    draft: LineDraft
    label: str = ""
    grams: Fraction | None = None
    cost: Fraction | None = None
    as_purchased: Fraction | None = None
    share: Fraction | None = None
    problem: Reason | None = None
    gap: Reason | None = None

    @property
    def price_kg(self) -> Fraction | None:
        """Price of a kilogram as purchased; for a component recipe, the mean price of its ingredients."""
        return self.cost / self.as_purchased * 1000 if self.cost is not None and self.as_purchased else None


@dataclass(frozen=True, slots=True)
class RecipeCard:
    """All figures of a recipe; None where a line has a problem."""

    draft: RecipeDraft
    lines: tuple[LineCard, ...]
    grams_in: Fraction
    output: Fraction
    ingredients: Fraction
    batches: int
    labor_minutes: Fraction
    labor: Fraction
    priced: bool
    declared: Declaration = field(default_factory=Declaration)
    waste: Fraction = ZERO

    @property
    def line_problems(self) -> list[Reason]:
        """Problems of lines, which stop the recipe."""
        return [line.problem for line in self.lines if line.problem]

    @property
    def problems(self) -> list[Reason]:
        """All problems, missing prices included, each once."""
        found = [problem for line in self.lines if (problem := line.problem or line.gap)]
        if not self.lines:
            found.append(Reason("empty"))
        return list(dict.fromkeys(found))

    @property
    def kg(self) -> Fraction:
        """Kilograms made."""
        return self.output / 1000

    @property
    def lost(self) -> Fraction:
        """Grams lost in making."""
        return self.grams_in - self.output

    @property
    def cost(self) -> Fraction:
        """Cost of ingredients and labor."""
        return self.ingredients + self.labor

    @property
    def per_kg(self) -> Fraction | None:
        """Cost of a kilogram, or None while a price is missing."""
        return self.cost / self.output * 1000 if self.priced and self.output else None

    @property
    def ingredients_per_kg(self) -> Fraction | None:
        """Cost of ingredients of a kilogram, or None while a price is missing."""
        return self.ingredients / self.output * 1000 if self.priced and self.output else None


class RecipeCosting:
    """Computes the figures of recipes at one cost basis; every recipe once."""

    def __init__(self, basis: CostBasis, draft: RecipeDraft | None = None) -> None:
        self.basis = basis
        self.recipes = dict(basis.recipes)
        if draft is not None:
            self.recipes[draft.code] = draft
        self._flows: dict[str, Flow | LineProblem] = {}
        self._open: list[str] = []

    def card(self, code: str) -> RecipeCard:
        """Compute a recipe's figures, even if it has problems."""
        draft = self.recipes[code]
        self._open = [code]
        flows = [self._tried(line) for line in draft.lines]
        self._open = []
        total = Flow()
        for flow in flows:
            if isinstance(flow, Flow):
                total.add(flow)
        lines = self._priced(draft, flows, total)
        output = total.grams * (1 - draft.loss)
        minutes, pay = self._labor(draft, output, total)
        return RecipeCard(
            draft=draft,
            lines=lines,
            grams_in=total.grams,
            output=output,
            ingredients=sum((line.cost or ZERO for line in lines), ZERO),
            batches=batches(output, draft.batch_limit),
            labor_minutes=minutes,
            labor=pay,
            priced=bool(lines) and not any(line.problem or line.gap for line in lines),
            declared=self._declared(total),
            waste=self.basis.waste,
        )

    def flow(self, code: str) -> Flow:
        """Return the inputs of one gram of a recipe.

        Raises
        ------
        LineProblem
            When it needs itself, or one of its lines has an error.
        """
        if code in self._open:
            raise LineProblem("needs_itself", names=self._loop(code), placed=True)
        if len(self._open) > DEEPEST:
            raise LineProblem("too_deep", name=self.recipes[code].name, placed=True)
        if code not in self._flows:
            self._open.append(code)
            try:
                self._flows[code] = self._worked(code)
            except LineProblem as problem:
                self._flows[code] = problem
            self._open.pop()
        found = self._flows[code]
        if isinstance(found, LineProblem):
            raise found
        return found

    def _worked(self, code: str) -> Flow:
        draft = self.recipes[code]
        total = Flow()
        for line in draft.lines:
            try:
                total.add(self._line(line))
            except LineProblem as problem:
                if problem.placed:
                    raise
                raise LineProblem("within", name=draft.name, problem=problem.reason, placed=True) from problem
        output = total.grams * (1 - draft.loss)
        if not output:
            raise LineProblem("no_lines", name=draft.name)
        each = Flow()
        each.add(total, 1 / output)
        each.grams = Fraction(1)
        each.demand[code] += 1
        return each

    def _loop(self, code: str) -> list[str]:
        """Return the names of the recipes on the loop from a recipe back to itself; an unsaved one may have no name."""
        return [self.recipes[each].name for each in (*self._open[self._open.index(code) :], code)]

    def _tried(self, line: LineDraft) -> Flow | LineProblem:
        try:
            return self._line(line)
        except LineProblem as problem:
            return problem

    def _line(self, line: LineDraft) -> Flow:
        try:
            measure = parse_measure(line.amount)
        except MeasureError as error:
            raise LineProblem("measure", text=error.on_screen()) from error
        return self._of_recipe(line, measure) if line.recipe else self._of_good(line, measure)

    def _of_recipe(self, line: LineDraft, measure: Measure) -> Flow:
        name = self.recipes[line.recipe].name
        if measure.kind != "mass":
            raise LineProblem("not_a_mass", measure=str(measure), name=name)
        flow = Flow()
        flow.add(self.flow(line.recipe), measure.in_base(self.basis.cup))
        return flow

    def _of_good(self, line: LineDraft, measure: Measure) -> Flow:
        good = self.basis.goods[line.ingredient]
        if good.base == "each":
            raise LineProblem("counted_only", name=good.name)
        name = f"{good.name}, {line.part}" if line.part else good.name
        try:
            grams = good.amount_of(measure, self.basis.cup, line.part or None)
        except NoDensity:
            raise LineProblem("no_density", name=name, unit=measure.unit.replace("_", " ")) from None
        except NoPieceWeight:
            raise LineProblem("no_piece_weight", name=name, measure=str(measure)) from None
        flow = Flow(grams=grams)
        flow.needs[line.ingredient, line.part] += grams
        return flow

    def bought(self, good_code: str, part: str, ready: Fraction) -> Fraction:
        """Return the as-purchased grams for an amount ready to use, before waste."""
        good = self.basis.goods[good_code]
        return ready / (good.part(part).share if part else good.yield_)

    def _purchase(self, needs: Needs) -> dict[str, Fraction]:
        """Return as-purchased grams by ingredient: parts of one piece count once, at the largest."""
        wholes: dict[str, Fraction] = defaultdict(Fraction)
        joints: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for (code, part), ready in needs.items():
            grams = self.bought(code, part, ready)
            joint = self.basis.goods[code].part(part).joint if part else ""
            if joint:
                joints[code, joint] = max(joints[code, joint], grams)
            else:
                wholes[code] += grams
        for (code, _), grams in joints.items():
            wholes[code] += grams
        return {code: grams * (1 + self.basis.waste) for code, grams in wholes.items()}

    def _priced(self, draft: RecipeDraft, flows: list[Flow | LineProblem], total: Flow) -> tuple[LineCard, ...]:
        purchase = self._purchase(total.needs)
        claims: dict[str, Fraction] = defaultdict(Fraction)
        for (code, part), ready in total.needs.items():
            claims[code] += self.bought(code, part, ready)
        return tuple(
            self._line_card(line, flow, purchase, claims, total.grams)
            for line, flow in zip(draft.lines, flows, strict=True)
        )

    def _line_card(
        self,
        line: LineDraft,
        flow: Flow | LineProblem,
        purchase: dict[str, Fraction],
        claims: dict[str, Fraction],
        grams_in: Fraction,
    ) -> LineCard:
        label = self.basis.label_of.get((line.ingredient, line.part, line.recipe), "")
        if isinstance(flow, LineProblem):
            return LineCard(line, label, problem=flow.reason)
        cost = bought = ZERO
        missing: list[str] = []
        for (code, part), ready in flow.needs.items():
            grams = purchase[code] * self.bought(code, part, ready) / claims[code]
            price = self.basis.prices[code]
            if price is None:
                missing.append(self.basis.goods[code].name)
            cost += grams * (price or ZERO)
            bought += grams
        return LineCard(
            line,
            label,
            grams=flow.grams,
            cost=None if missing else cost,
            as_purchased=bought,
            share=flow.grams / grams_in if grams_in else None,
            gap=Reason("no_price", {"names": list(dict.fromkeys(missing))}) if missing else None,
        )

    def _labor(self, draft: RecipeDraft, output: Fraction, total: Flow) -> tuple[Fraction, Fraction]:
        """Return minutes and pay of this recipe and of its component recipes."""
        made = {**total.demand, draft.code: output}
        minutes = pay = ZERO
        for code, grams in made.items():
            for work in self.recipes[code].labor:
                times = batches(grams, self.recipes[code].batch_limit)
                spent = hands(work.per_batch, work.per_kg, times, grams / 1000)
                minutes += spent
                pay += spent * self.basis.pay.get(work.role, ZERO)
        return minutes, pay

    def _declared(self, total: Flow) -> Declaration:
        which, used = self.basis.allergen_list, dict.fromkeys(good for good, _ in total.needs)
        return together([declared_of(self.basis.goods[good], which) for good in used], which)


def batches(grams: Fraction, limit: Fraction | None) -> int:
    """Return the number of batches for an amount."""
    return max(1, ceil(grams / limit)) if limit else 1
