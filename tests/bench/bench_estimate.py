"""How fast the computation is: `make bench` prints a table.

Beside the exact engine stands the same code in floats (`tests/bench/in_floats.py`), measured in turn with it: the ratio
is the price of exactness. Every answer is complete (lines, recipes, purchases with whole packs, warnings, JSON text),
and every order is a new one, on a day nobody asked about before where that is said.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from functools import partial
from random import Random
from typing import Any

from costing import Book, Brief, BriefLine, estimate, read_book, read_brief, write_estimate
from costing.purchasing.pack_search import PackShelf
from costing.requirements.compiled_book import compile_book
from tests.bench.in_floats import floats
from tests.bench.kitchen import forty_lines, large_book

DAY = date(2026, 11, 24)
ROUNDS = 15


def median_ms(work: Callable[[], Any], rounds: int = ROUNDS) -> float:
    """Return the median time of some work in CPU milliseconds, after one round to warm up."""
    work()
    taken = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        taken.append((time.process_time() - begun) * 1000)
    return statistics.median(taken)


def cpu_ms(work: Callable[[], Any]) -> float:
    """Return the CPU time of some work, once [ms]."""
    begun = time.process_time()
    work()
    return (time.process_time() - begun) * 1000


def complete(book: Book, brief: Brief) -> str:
    """Return the whole answer: the text a program reads."""
    return json.dumps(write_estimate(estimate(book, brief)))


def all_products(book: Book, briefs: list[Brief]) -> None:
    """Compute an answer for each product."""
    for brief in briefs:
        complete(book, brief)


def engine_rows(document: dict[str, Any]) -> list[tuple[str, float, float]]:
    """Measure orders: name, exact and in floats [ms], medians of pairs."""
    exact, rough = read_book(document), read_book(document)
    orders = [read_brief(forty_lines(document, seed)) for seed in range(100, 100 + ROUNDS + 1)]
    singles = [Brief(DAY, (BriefLine(item["code"], item["sale_multiple"] * 4),)) for item in document["products"]]
    other_days = [replace(order, date=DAY + timedelta(days=1 + at)) for at, order in enumerate(orders)]
    return [
        paired("2,000 products, each complete", [(all_products, singles)] * 4, exact, rough),
        paired("a new order of 40 lines, complete", [(complete, order) for order in orders], exact, rough),
        paired(
            "the same on a new day (packs in force anew)", [(complete, order) for order in other_days], exact, rough
        ),
    ]


def paired(
    name: str, works: list[tuple[Callable[[Book, Any], Any], Any]], exact: Book, rough: Book
) -> tuple[str, float, float]:
    """Measure each work in both kinds of number, one after the other; the first pair is for warming up."""
    taken: list[tuple[float, float]] = []
    for work, on in works:
        sure = cpu_ms(partial(work, exact, on))
        with floats():
            taken.append((sure, cpu_ms(partial(work, rough, on))))
    return name, *(statistics.median(column) for column in zip(*taken[1:], strict=True))


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
    for name, exact, rough in engine_rows(document):
        lines.append(f"{name:52}{exact:9.1f} ms{rough:9.1f} ms{exact / rough:9.2f}")
    for name, exact in pack_rows():
        lines.append(f"{name:52}{exact:9.1f} ms")
    lines.append(f"{'reading and checking the Book (once)':52}{read * 1000:9.0f} ms")
    lines.append(f"{'making its tables (once; rows as orders need them)':52}{made * 1000:9.0f} ms")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
