"""Which row of an invoice gets the odd cent, and what a tax is to the cent: every figure was worked out by hand."""

from decimal import Decimal
from fractions import Fraction

import pytest

from costing.money.allocation import round_to_total, sum_by_code
from orders.invoices.totals import ALLOWANCE, CHARGE, Row, TaxKind, compute_totals, tax_on
from orders.quotes.send.content import charges_by_code
from tests.each import each

TENTH, FIFTH = (TaxKind(code, code, "S", "", Decimal(rate)) for code, rate in (("low", "0.1"), ("high", "0.2")))


@each(
    ("total", "exact", "shares"),
    [
        # Nothing is left over, or it goes to the largest remainder ...
        (10, ("2", "3", "5"), [2, 3, 5]),
        (10, ("2.2", "3.3", "4.5"), [2, 3, 5]),
        (10, ("2.5", "3.3", "4.2"), [3, 3, 4]),
        (10, ("2.2", "3.6", "4.2"), [2, 4, 4]),
        (11, ("2.4", "3.6", "4.7"), [2, 4, 5]),
        # ... of equal ones to the first ...
        (10, ("3.5", "3.5", "3"), [4, 3, 3]),
        (10, ("3", "3.5", "3.5"), [3, 4, 3]),
        (100, ("33.4", "33.3", "33.3"), [34, 33, 33]),
        (2, ("2/3", "2/3", "2/3"), [1, 1, 0]),
        # ... and below zero too it is the one farthest above its floor.
        (-10, ("-2.2", "-3.3", "-4.5"), [-2, -3, -5]),
        (80, ("-18.2", "90.9", "7.3"), [-18, 91, 7]),
        (81, ("-18.9", "91", "9"), [-19, 91, 9]),
        # More than one each is shared out evenly first.
        (7, ("1", "1"), [4, 3]),
        (-3, ("1", "1"), [-1, -2]),
        (5, ("1.7",), [5]),
    ],
)
def test_the_odd_cent_goes_to_the_largest_remainder_and_then_to_the_first_row(
    total: int, exact: tuple[str, ...], shares: list[int]
) -> None:
    assert round_to_total(total, [Fraction(value) for value in exact]) == shares


def test_nothing_is_allocated_among_no_rows() -> None:
    assert round_to_total(0, []) == []


@pytest.mark.parametrize(
    ("amounts", "nets", "tax"),
    [
        ((50, 50, 50), (46, 45, 45), 14),  # 150 hold 13.64; 45.45 each
        ((30, 100, 70), (27, 91, 64), 18),  # 200 hold 18.18; 27.27, 90.91, 63.64
        ((70, 100, 30), (64, 91, 27), 18),
        ((1, 1, 1, 1), (1, 1, 1, 1), 0),  # 4 hold 0.36
        ((6,), (5,), 1),  # 6 hold 0.545
        ((5,), (5,), 0),  # 5 hold 0.4545
        ((300, -20), (273, -18), 25),  # 280 hold 25.45; 272.73 and −18.18
    ],
)
def test_the_nets_of_gross_rows_are_these(amounts: tuple[int, ...], nets: tuple[int, ...], tax: int) -> None:
    sheet = compute_totals([Row(f"row {i}", amount, "low") for i, amount in enumerate(amounts)], [TENTH], "gross")
    assert (sheet.nets, sheet.tax_minor, sheet.total_minor) == (nets, tax, sum(amounts))


def test_rows_of_two_rates_are_rounded_apart_and_stay_in_their_places() -> None:
    """High: 100 + 55 − 10 = 145 hold 24.17, net 83.33, 45.83, −8.33; low: 50 + 50 hold 9.09, net 45.45 each."""
    rows = [
        Row("cake", 100, "high"),
        Row("tart", 50, "low"),
        Row("stands", 55, "high", CHARGE),
        Row("pear", 50, "low"),
        Row("discount", -10, "high", ALLOWANCE),
    ]
    sheet = compute_totals(rows, [TENTH, FIFTH], "gross")
    assert sheet.nets == (83, 46, 46, 45, -8)
    assert [(tax.tax.code, tax.taxable_minor, tax.tax_minor) for tax in sheet.taxes] == [
        ("low", 91, 9),
        ("high", 121, 24),
    ]
    assert (sheet.net_minor, sheet.tax_minor, sheet.total_minor) == (212, 33, 245)


def test_net_rows_stay_as_they_were_agreed_and_a_tax_without_rows_is_left_out() -> None:
    sheet = compute_totals([Row("tart", 33, "low"), Row("pear", 12, "low")], [FIFTH, TENTH], "net")
    assert sheet.nets == (33, 12)
    assert [(tax.tax, tax.taxable_minor, tax.tax_minor) for tax in sheet.taxes] == [(TENTH, 45, 5)]


def test_what_was_agreed_is_summed_by_code_in_the_order_the_codes_come() -> None:
    assert list(sum_by_code([("high", 5), ("low", 7), ("high", -2)]).items()) == [("high", 3), ("low", 7)]


@pytest.mark.parametrize(
    ("agreed", "prices", "tax"),
    [(25, "net", 3), (24, "net", 2), (-25, "net", -3), (55, "gross", 5), (11, "gross", 1), (-60, "gross", -5)],
)
def test_tax_is_added_to_net_prices_and_contained_in_gross_ones(agreed: int, prices: str, tax: int) -> None:
    """Half up on the absolute value: 2.5 is 3, −2.5 is −3; 60 with a tenth in it hold 5.45."""
    assert tax_on(agreed, Decimal("0.1"), prices) == tax


@pytest.mark.parametrize(("prices", "taxes"), [("net", (1, 0, 1)), ("gross", (0, 1, 0))])
def test_a_credit_notes_tax_is_that_of_all_credited_so_far_less_that_of_the_notes_before(
    prices: str, taxes: tuple[int, ...]
) -> None:
    """Three notes of 5 at 10 %: tax on 5, 10, 15 is 0.5, 1, 1.5; contained in them it is 0.45, 0.91, 1.36."""
    found = [
        compute_totals([Row("tart", 5, "low")], [TENTH], prices, {"low": before}).tax_minor for before in (0, 5, 10)
    ]
    assert tuple(found) == taxes


def test_a_row_is_one_piece_without_a_price_or_a_row_it_takes_back_unless_it_says_so() -> None:
    row = Row("tart", 5, "low")
    assert (row.kind, row.quantity, row.unit_code, row.unit_price_minor, row.source) == ("line", 1, "C62", 0, None)


@pytest.mark.parametrize(
    ("amounts", "parts"),
    [
        # −1 over equal goods is the first code's; the surcharge of 1 is too, so nothing has to be taken up.
        ((-1, 1, 0), ({"a": -1, "b": 0}, {"a": 1, "b": 0}, {"a": 0, "b": 0})),
        # Sums of −3 are −2 and −1; alone −5 is −3 and −2, and 2 is 1 and 1: they agree.
        ((-5, 2, 0), ({"a": -3, "b": -2}, {"a": 1, "b": 1}, {"a": 0, "b": 0})),
        # 3 + 3 = 6 is 3 and 3, but alone each 3 is 2 and 1: the first of the largest gives one up.
        ((0, 3, 3), ({"a": 0, "b": 0}, {"a": 1, "b": 2}, {"a": 2, "b": 1})),
        ((0, 3, 5), ({"a": 0, "b": 0}, {"a": 2, "b": 1}, {"a": 2, "b": 3})),
        ((-7, 0, 1), ({"a": -4, "b": -3}, {"a": 0, "b": 0}, {"a": 1, "b": 0})),
    ],
)
def test_the_largest_charge_takes_up_the_odd_cent(
    amounts: tuple[int, int, int], parts: tuple[dict[str, int], ...]
) -> None:
    kinds = ("discount", "surcharge", "top_up")
    found = charges_by_code(dict(zip(kinds, amounts, strict=True)), {"b": 500, "a": 500})
    assert found == dict(zip(kinds, parts, strict=True))
