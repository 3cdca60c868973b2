"""How fast the computation is: `make bench` prints a table.

The exact engine stands beside the same arithmetic in floating point, written here with NumPy matrices: demand through
recipes (three products of a sparse-as-dense matrix), as-purchased mass, price per gram, labor. The floats leave out
what makes the engine's answer exact and complete: whole packs, batches of nested recipes, taxes, rounding, checks. So
the ratio shows the cost of exactness; the two do not compute the same.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt

from costing import Book, Brief, BriefLine, estimate, read_book, read_brief
from costing.purchasing.pack_search import PackShelf
from costing.requirements.compiled_book import CompiledBook, compile_book
from tests.bench.kitchen import forty_lines, large_book

DAY = date(2026, 11, 24)
ROUNDS = 15
Floats = npt.NDArray[np.float64]


def median_ms(work: Callable[[], Any], rounds: int = ROUNDS) -> float:
    """Return the median time of some work in CPU milliseconds, after one round to warm up."""
    work()
    taken = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        taken.append((time.process_time() - begun) * 1000)
    return statistics.median(taken)


class FloatKitchen:
    """The same kitchen as matrices of floats."""

    def __init__(self, compiled: CompiledBook) -> None:
        tables, offers = compiled.exact, compiled.offers_on(DAY)
        recipes, products = len(tables.recipes), len(tables.products)
        self.subs = np.zeros((recipes, recipes))
        self.uses = np.zeros((recipes, len(compiled.ingredients)))
        self.fill = np.zeros((products, recipes))
        for at, row in enumerate(tables.recipes):
            for sub, amount in row.subs:
                self.subs[at, sub] += float(amount)
            for slot, amount in row.uses:
                self.uses[at, tables.slots[slot].ingredient] += float(amount)
        for at, product in enumerate(tables.products):
            for recipe, amount in product.fill:
                self.fill[at, recipe] += float(amount)
        prices = (offers[at] for at in range(len(compiled.ingredients)))
        self.price = np.array([float(offer.price) if offer else 0.0 for offer in prices])
        self.gram_pay = np.array([float(row.pay_gram) for row in tables.recipes])
        self.unit_pay = np.array([float(row.pay_unit) for row in tables.products])
        self.waste = float(tables.waste)

    def line_costs(self, products: npt.NDArray[np.int64], units: Floats) -> Floats:
        """Return the cost of each line."""
        demand = self.fill[products] * units[:, None]
        total = demand.copy()
        for _ in range(2):
            demand = demand @ self.subs
            total += demand
        bought = total @ self.uses * self.waste
        costs: Floats = bought @ self.price + total @ self.gram_pay + self.unit_pay[products] * units
        return costs


def engine_rows(document: dict[str, Any], book: Book) -> list[tuple[str, float, float]]:
    """Measure orders: name, engine and floats [ms]."""
    compiled = compile_book(book)
    floats = FloatKitchen(compiled)
    brief = read_brief(forty_lines(document))
    chosen = np.array([compiled.product_at[line.product] for line in brief.lines])
    units = np.array([float(line.units) for line in brief.lines])
    singles = [Brief(DAY, (BriefLine(item["code"], item["sale_multiple"] * 4),)) for item in document["products"]]
    one = np.array([0])

    def each_product() -> None:
        for single in singles:
            estimate(book, single)

    def each_product_with_warnings() -> None:
        for single in singles:
            _ = estimate(book, single).warnings

    def each_product_in_floats() -> None:
        for at in range(len(singles)):
            one[0] = at
            floats.line_costs(one, np.array([4.0]))

    return [
        (
            "an order of 40 lines",
            median_ms(lambda: estimate(book, brief)),
            median_ms(lambda: floats.line_costs(chosen, units)),
        ),
        ("2,000 products, one by one", median_ms(each_product, 3), median_ms(each_product_in_floats, 3)),
        ("the same with warnings", median_ms(each_product_with_warnings, 3), median_ms(each_product_in_floats, 3)),
    ]


def pack_rows() -> list[tuple[str, float]]:
    """Measure buying 40 kg from seven sizes, three ways of pricing, and the worst that was met [ms]."""
    ounce = Fraction("28.349523125")
    sizes = [Fraction(250), 12 * ounce, 16 * ounce, Fraction(1000), Fraction(2500), 80 * ounce, Fraction(5000)]
    priced = {
        "prices all over": [Fraction(n, 100) for n in (199, 310, 345, 720, 1650, 1590, 3100)],
        "prices per gram within 2 %": [Fraction(round(float(s) * (1 + 0.003 * i)), 100) for i, s in enumerate(sizes)],
        "prices per gram the same but for rounding": [Fraction(round(float(size)), 100) for size in sizes],
    }
    rows = []
    for name, prices in priced.items():
        shelf = PackShelf(sizes, prices)
        need = shelf.units(Fraction(40_000) + Fraction(1, 7))
        rows.append((f"40 kg from 7 sizes, {name}", median_ms(lambda shelf=shelf, need=need: shelf.cheapest(need))))
    rng = Random(11)
    for packs in (7, 12):
        odd = [rng.randint(10**8, 10**9) for _ in range(packs)]
        near = [Fraction(round(size / 10**4 * (1 + rng.uniform(0, 0.0001))), 100) for size in odd]
        shelf = PackShelf([Fraction(size) for size in odd], near)
        name = f"{packs} sizes of 9 digits, prices per gram within 0.01 %"
        rows.append((name, median_ms(lambda shelf=shelf: shelf.cheapest(4 * 10**11), 3)))
    return rows


def main() -> None:
    """Print the table."""
    document = large_book()
    begun = time.process_time()
    book = read_book(document)
    read = time.process_time() - begun
    begun = time.process_time()
    compile_book(book)
    made = time.process_time() - begun
    lines = [f"{'median CPU time':52}{'exact':>12}{'floats':>12}{'ratio':>9}"]
    for name, exact, floats in engine_rows(document, book):
        lines.append(f"{name:52}{exact:9.1f} ms{floats:9.2f} ms{exact / floats:9.1f}")
    for name, exact in pack_rows():
        lines.append(f"{name:52}{exact:9.1f} ms")
    lines.append(f"{'reading and checking the Book (once)':52}{read * 1000:9.0f} ms")
    lines.append(f"{'making its tables (once)':52}{made * 1000:9.0f} ms")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
