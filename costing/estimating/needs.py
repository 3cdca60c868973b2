"""What a Brief needs of the Book: products, units, packs in force, price rules, taxes, delivery."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from costing.contract.brief import Brief
from costing.contract.brief_json import Reading
from costing.contract.errors import CostingError, Path, pointer
from costing.contract.problems import DISCOUNT, NOT_NEGATIVE, Range, finer_than_minor, spoken
from costing.measures.numbers import number_text
from costing.money.rounding import is_minor
from costing.pricing.rules import UnitsTogether, winning_rule
from costing.requirements.compiled import Compiled


def needs_errors(compiled: Compiled, brief: Brief, reading: Reading | None = None) -> list[CostingError]:
    """Find what is wrong with a Brief for this Book.

    Parameters
    ----------
    compiled : Compiled
        The Book, ready for computing.
    brief : Brief
        The Brief, or the sound part of one.
    reading : Reading, optional
        How the Brief was read, when it came as a document: where its lines stand, which dates could be read,
        and what was found already.

    Returns
    -------
    list of CostingError
        Places in the Book first, then those in the Brief, each in document order and once.
    """
    check = _Check(compiled, brief, reading)
    check.run()
    in_book = [error for _, error in sorted(check.book.items())]
    if reading is None:
        return in_book + [error for _, error in sorted(check.brief, key=lambda item: item[0])]
    unreadable = {error.at for _, error in reading.found.found if error.code == "schema"}
    for _, path, error in check.placed:
        # A delivery that cannot be read is still a delivery the Book may say nothing of.
        if error.at not in unreadable or error.code == "no_delivery":
            reading.found.found.append((path, error))
    return in_book + reading.found.in_order()


class _Check:
    def __init__(self, compiled: Compiled, brief: Brief, reading: Reading | None) -> None:
        self.compiled, self.asked = compiled, brief
        self.line_at: Iterable[int] = reading.line_at if reading else range(len(brief.lines))
        self.extra_at: Iterable[int] = reading.extra_at if reading else range(len(brief.extras))
        self.dated, self.taxed = (reading.dated, reading.taxed) if reading else (True, True)
        self.unread = reading.unread_units if reading else frozenset()
        self.own = reading is None
        self.book: dict[tuple[int, int | str], CostingError] = {}
        self.placed: list[tuple[int, Path, CostingError]] = []

    @property
    def brief(self) -> list[tuple[tuple[int, int], CostingError]]:
        return [((order, i), error) for i, (order, _, error) in enumerate(self.placed)]

    def add(self, order: int, code: str, path: Path, message: str) -> None:
        self.placed.append((order, path, CostingError(code, pointer("brief", path), message)))

    def run(self) -> None:
        known = self._lines()
        self._rules(known)
        self._extras()
        self._delivery()
        if self.own:
            self._ranges()
        if self.dated:
            self._packs([product for _, product, _ in known])
        if self.taxed and not self.asked.tax_exempt:
            self._taxes([product for _, product, _ in known])

    def _lines(self) -> list[tuple[int, int, int]]:
        """Check products and units; give the position, product and units of each line that can be priced."""
        known: dict[int, tuple[int, int, int]] = {}
        if self.own and not self.asked.lines:
            self.add(2, "schema", ("lines",), "The Brief has no lines. Add at least one product.")
        for at, line in zip(self.line_at, self.asked.lines, strict=True):
            product = self.compiled.product_at.get(line.product)
            if product is None:
                self._unknown(at, line.product)
                self._positive(at, line.units)
            elif product in known:
                self._units(at, product, line.units)
                self.add(
                    2,
                    "duplicate_line",
                    ("lines", at, "product"),
                    f"“{line.product}” stands on two lines. Put all its units on one.",
                )
            else:
                known[product] = (at, product, line.units)
                self._units(at, product, line.units)
            self._given(at, line.unit_price)
        return list(known.values())

    def _unknown(self, at: int, code: str) -> None:
        self.add(
            2,
            "unknown_product",
            ("lines", at, "product"),
            f"There is no product with the code “{code}” in the Book. Correct the code or add the product.",
        )

    def _positive(self, at: int, units: int) -> None:
        """Of an unknown product only this can be said of the units."""
        if at not in self.unread and units <= 0:
            self.add(2, "bad_units", ("lines", at, "units"), f"{units} units cannot be ordered. Ask for one or more.")

    def _units(self, at: int, product: int, units: int) -> None:
        item = self.compiled.products[product]
        if at in self.unread or (units > 0 and units % item.sale_multiple == 0):
            return
        below = max(units // item.sale_multiple, 1) * item.sale_multiple
        above = below + item.sale_multiple
        self.add(
            2,
            "bad_units",
            ("lines", at, "units"),
            f"{item.name} is sold in multiples of {item.sale_multiple}, not {units}. Ask for {below} or {above}.",
        )

    def _given(self, at: int, price: Fraction | None) -> None:
        if price is None:
            return
        path: Path = ("lines", at, "unit_price")
        if self.own:
            self._range(2, path, price, NOT_NEGATIVE)
        self._minor(2, path, price)

    def _minor(self, order: int, path: Path, value: Fraction) -> None:
        if not is_minor(value, self.compiled.digits):
            message = finer_than_minor(spoken(str(path[-1])), _shown(value), self.compiled.digits)
            self.add(order, "schema", path, message)

    def _range(self, order: int, path: Path, value: Fraction | int, allowed: Range) -> None:
        if not allowed.holds(value):
            shown = f"{spoken(str(path[-1]))} is {_shown(value)}. It has to be {allowed.words}."
            self.add(order, allowed.code, path, shown)

    def _rules(self, known: list[tuple[int, int, int]]) -> None:
        units = UnitsTogether(self.compiled, ((product, count) for _, product, count in known))
        for at, product, _ in known:
            if winning_rule(self.compiled, product, self.asked.customer_kind, units) is None:
                item = self.compiled.products[product]
                self.add(
                    2,
                    "no_price_rule",
                    ("lines", at, "product"),
                    f"No price rule fits {item.name} in this order. Add one to the Book, such as one for all products.",
                )

    def _extras(self) -> None:
        for at, extra in zip(self.extra_at, self.asked.extras, strict=True):
            if self.own:
                self._range(3, ("extras", at, "cost"), extra.cost, NOT_NEGATIVE)
                self._range(3, ("extras", at, "amount"), extra.amount, NOT_NEGATIVE)
            self._minor(3, ("extras", at, "amount"), extra.amount)
            if extra.tax and extra.tax not in self.compiled.taxes:
                self.add(
                    3,
                    "unknown_tax",
                    ("extras", at, "tax"),
                    f"There is no tax with the code “{extra.tax}” in the Book. Correct the code or add it.",
                )

    def _delivery(self) -> None:
        if self.asked.delivery is not None and self.compiled.delivery is None:
            self.add(
                4,
                "no_delivery",
                ("delivery",),
                "The Book says nothing of delivery. Add its rates to the Book, or let the order be collected.",
            )

    def _ranges(self) -> None:
        self._range(5, ("discount",), self.asked.discount, DISCOUNT)
        terms = self.asked.delivery
        if terms is not None:
            for key in ("km", "minutes", "crew", "setup_minutes"):
                self._range(4, ("delivery", key), getattr(terms, key), NOT_NEGATIVE)

    def _packs(self, products: list[int]) -> None:
        day = self.asked.date
        missing = frozenset[int]().union(*(self.compiled.unpriced_on(product, day) for product in products))
        for at in sorted(missing):
            name = self.compiled.ingredients[at].name
            self.book[1, at] = CostingError(
                "no_pack_in_force",
                pointer("book", ("ingredients", at, "packs")),
                f"{name} has no pack with a price on {day.isoformat()}. Add one to the Book.",
            )

    def _taxes(self, products: list[int]) -> None:
        codes = {self.compiled.products[product].tax for product in products}
        codes.update(extra.tax for extra in self.asked.extras)
        delivery = self.compiled.delivery
        if self.asked.delivery is not None and delivery is not None and delivery.tax != "goods":
            codes.add(delivery.tax)
        for order, (code, tax) in enumerate(self.compiled.taxes.items()):
            if code in codes and tax.rate_on(self.asked.tax_date) is None:
                self.book[0, order] = CostingError(
                    "no_tax_in_force",
                    pointer("book", ("taxes", code)),
                    f"The tax “{code}” has no rate on {self.asked.tax_date.isoformat()}. Add one to the Book.",
                )


def _shown(value: Fraction | int) -> str:
    try:
        return number_text(value)
    except ValueError:
        return str(value)
