"""What a Brief needs of the Book: products, units, packs in force, price rules, taxes, delivery."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from costing.contract.brief import Brief
from costing.contract.brief_reader import BriefReading, reading_of
from costing.contract.entries import number_written
from costing.contract.errors import CostingError, Param, Path, pointer
from costing.contract.price_rules import rule_terms
from costing.contract.problems import costing_error
from costing.money.rounding import is_minor
from costing.pricing.prices import UnitsTogether, winning_rule
from costing.requirements.compiled_book import CompiledBook


class _KnownLine(NamedTuple):
    """A line that can be priced: its position in the Brief, the product's index in the Book, its units."""

    at: int
    product: int
    units: int


def needs_errors(compiled: CompiledBook, brief: Brief, reading: BriefReading | None = None) -> list[CostingError]:
    """Find what is wrong with a Brief for this Book.

    Parameters
    ----------
    compiled : CompiledBook
        The Book, ready for computing.
    brief : Brief
        The Brief, or the sound part of one.
    reading : BriefReading, optional
        How the Brief was read, when it came as a document: where its lines stand, which dates could be read,
        and what was found already.

    Returns
    -------
    list of CostingError
        Places in the Book first, then those in the Brief, each in document order and once.
    """
    reading = reading_of(brief) if reading is None else reading
    check = _NeedsCheck(compiled, brief, reading)
    check.run()
    return check.in_book() + reading.found.in_order()


class _NeedsCheck:
    def __init__(self, compiled: CompiledBook, brief: Brief, reading: BriefReading) -> None:
        self.compiled, self.brief, self.reading = compiled, brief, reading
        self.unreadable = reading.found.unreadable()
        self.packs: list[CostingError] = []
        self.taxes: list[CostingError] = []

    def in_book(self) -> list[CostingError]:
        """Return the errors that stand in the Book, in its order."""
        return self.taxes + self.packs

    def report(self, code: str, path: Path, reason: str, /, **params: Param) -> None:
        """Record an error of the Brief, unless the value at that place could not be read at all."""
        # A delivery that cannot be read is still a delivery, and the Book may lack delivery terms.
        if code == "no_delivery" or pointer("brief", path) not in self.unreadable:
            self.reading.found.report(code, path, reason, **params)

    def run(self) -> None:
        known = self._lines()
        self._rules(known)
        self._extras()
        if self.brief.delivery is not None and self.compiled.delivery is None:
            self.report("no_delivery", ("delivery",), "no_delivery")
        if self.reading.dated:
            self._packs(line.product for line in known)
        if self.reading.taxed and not self.brief.tax_exempt:
            self._taxes(line.product for line in known)

    def _lines(self) -> list[_KnownLine]:
        """Check products, units and given prices; return the lines that can be priced."""
        known: dict[int, _KnownLine] = {}
        for at, line in zip(self.reading.line_at, self.brief.lines, strict=True):
            product = self.compiled.product_at.get(line.product)
            path: Path = ("lines", at, "product")
            if product is None:
                self.report("unknown_product", path, "unknown_product", product=line.product)
                self._positive(at, line.units)
            else:
                if product in known:
                    self.report("duplicate_line", path, "product_twice", product=line.product)
                known.setdefault(product, _KnownLine(at, product, line.units))
                self._multiple(at, product, line.units)
            if line.unit_price is not None and not is_minor(line.unit_price, self.compiled.digits):
                self._finer(("lines", at, "unit_price"), number_written(line.unit_price))
        return list(known.values())

    def _positive(self, at: int, units: int) -> None:
        """Check that units are above zero: all that can be checked when the product is unknown."""
        if at not in self.reading.unread_units and units <= 0:
            self.report("bad_units", ("lines", at, "units"), "units_not_positive", units=units)

    def _multiple(self, at: int, product: int, units: int) -> None:
        item = self.compiled.products[product]
        if at in self.reading.unread_units or (units > 0 and units % item.sale_multiple == 0):
            return
        below = max(units // item.sale_multiple, 1) * item.sale_multiple
        self.report(
            "bad_units",
            ("lines", at, "units"),
            "not_a_multiple",
            product=item.name,
            multiple=item.sale_multiple,
            units=units,
            below=below,
            above=below + item.sale_multiple,
        )

    def _finer(self, path: Path, written: str) -> None:
        key = str(path[-1])
        self.report("schema", path, "finer_than_minor", key=key, value=written, digits=self.compiled.digits)

    def _rules(self, known: list[_KnownLine]) -> None:
        units = UnitsTogether(self.compiled, ((line.product, line.units) for line in known))
        terms = rule_terms(self.brief)
        for at, product, _ in known:
            if winning_rule(self.compiled, product, terms, units) is None:
                name = self.compiled.products[product].name
                self.report("no_price_rule", ("lines", at, "product"), "no_price_rule", product=name)

    def _extras(self) -> None:
        for at, extra in zip(self.reading.extra_at, self.brief.extras, strict=True):
            if not is_minor(extra.amount, self.compiled.digits):
                self._finer(("extras", at, "amount"), number_written(extra.amount))
            if extra.tax and extra.tax not in self.compiled.taxes:
                self.report("unknown_tax", ("extras", at, "tax"), "unknown_code", kind="tax", code=extra.tax)

    def _packs(self, products: Iterable[int]) -> None:
        day = self.brief.date
        missing = frozenset[int]().union(*(self.compiled.unpriced_on(product, day) for product in products))
        for at in sorted(missing):
            path: Path = ("ingredients", at, "packs")
            name = self.compiled.ingredients[at].name
            self.packs.append(
                costing_error("book", "no_pack_in_force", path, "no_pack_in_force", ingredient=name, day=day)
            )

    def _taxes(self, products: Iterable[int]) -> None:
        codes = {self.compiled.products[product].tax for product in products}
        codes.update(extra.tax for extra in self.brief.extras)
        delivery = self.compiled.delivery
        if self.brief.delivery is not None and delivery is not None and delivery.tax != "goods":
            codes.add(delivery.tax)
        day = self.brief.tax_date
        for code, tax in self.compiled.taxes.items():
            if code in codes and tax.rate_on(day) is None:
                path: Path = ("taxes", code)
                self.taxes.append(costing_error("book", "no_tax_in_force", path, "no_tax_in_force", tax=code, day=day))
