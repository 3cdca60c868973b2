"""Which rule prices a line, and what happens where none does."""

from __future__ import annotations

from decimal import localcontext
from fractions import Fraction

import pytest

from costing import read_book, read_brief
from costing.contract.errors import InputErrors
from costing.estimating.computation import Computation
from costing.measures.numbers import WIDE
from costing.requirements.compiled_book import compile_book
from tests.unit.costing.plain_books import plain_book, priced

#: A rule of the whole table, and one for a dozen or more.
RULES = [{"code": "house", "margin": "0.4"}, {"code": "dozen", "margin": "0.25", "from_units": 12}]


@pytest.mark.parametrize(("units", "rule", "price"), [(11, "house", "5.00"), (12, "dozen", "4.00"), (13, "dozen", "4")])
def test_a_rule_from_so_many_units_fits_from_that_many_on(units: int, rule: str, price: str) -> None:
    """A cost of 3.00 is 60 % of 5.00, and 75 % of 4.00."""
    (line,) = priced(plain_book(price_rules=RULES), {"pear": units}).lines
    assert (line.rule, line.unit_price) == (rule, Fraction(price))


def test_the_units_of_all_lines_a_rule_fits_count_together() -> None:
    lines = priced(plain_book(price_rules=RULES), {"pear": 7, "tart": 5}).lines
    assert [(line.rule, line.unit_price) for line in lines] == [("dozen", 4), ("dozen", 4)]


def test_a_line_that_no_rule_fits_is_refused_and_never_priced() -> None:
    """The check of the Brief refuses it; prices computed without that check have no rule to follow either."""
    book = plain_book(price_rules=[{"code": "tarts", "margin": "0.4", "product": "tart"}])
    with pytest.raises(InputErrors, match="No price rule fits Pear"):
        priced(book, {"pear": 1})
    brief = {"format": "coldset-brief/1", "date": "2026-11-24", "lines": [{"product": "pear", "units": 1}]}
    computation = Computation(compile_book(read_book(book)), read_brief(brief))
    with localcontext(WIDE), pytest.raises(KeyError, match="no price rule for pear"):
        _ = computation.prices
