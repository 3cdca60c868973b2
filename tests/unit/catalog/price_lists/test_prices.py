"""Prices as suppliers write them."""

from decimal import Decimal

import pytest

from catalog.price_lists.presenters import problem_sentence
from catalog.price_lists.prices import price_read
from catalog.records.numbers import number_format
from catalog.records.reasons import Reason


def read(text: str, pack: str = "50 lb", *, comma: bool = False, currency: str = "USD") -> Decimal | str:
    found = price_read(text, pack=pack, written=number_format("de_DE" if comma else "en_US"), currency=currency)
    return found.code if isinstance(found, Reason) else found


@pytest.mark.parametrize(
    "text",
    ["39.50", "$39.50", "$39.50/cs", "39.50 / case", "39.50 per case", "USD 39.50", "39.50 USD", "39.50 ea", "$ 39.5"],
)  # fmt: skip
def test_the_price_of_the_pack_is_read(text: str) -> None:
    assert read(text) == Decimal("39.5")


@pytest.mark.parametrize("text", ["$2.10/lb", "2.10 per lb.", "2.10/kg", "$0.15/oz", "2.10 lb"])
def test_a_price_by_weight_is_never_the_packs(text: str) -> None:
    assert read(text) == "price_by_weight"
    assert problem_sentence(Reason("price_by_weight", {"text": text})).endswith("Write the price of the whole pack.")


@pytest.mark.parametrize(
    ("text", "code"),
    [("3.20/gal", "price_by_measure"), ("4 / doz", "price_by_measure"), ("market", "not_a_number"),
     ("12%", "not_a_number"), ("", "not_a_number"), ("39.50/12", "not_a_number"), ("-4", "negative"),
     ("9999999", "too_dear"), ("€39.50", "other_currency"), ("EUR 39.50", "other_currency"),
     ("39.50 a sackful", "not_a_number"), ("1" + " " * 190 + "%", "not_a_number")],
)  # fmt: skip
def test_what_is_no_price_of_a_pack_is_a_problem(text: str, code: str) -> None:
    assert read(text) == code


@pytest.mark.parametrize("pack", ["12/1 qt", "12 x 1 qt", "15 dozen", "140 ct"])
def test_a_price_each_is_not_taken_for_a_pack_of_several(pack: str) -> None:
    assert read("3.29 ea", pack) == "price_of_a_piece"
    assert read("3.29", pack) == Decimal("3.29")
    assert read("3.29 ea", "1/2 gallon") == Decimal("3.29")


def test_a_decimal_comma_and_the_kitchens_own_currency_are_read() -> None:
    assert read("1.250", comma=True, currency="EUR") == Decimal(1250)
    assert read("39,50") == "two_readings"
    assert read("€ 1.039,50/ctn", comma=True, currency="EUR") == Decimal("1039.5")
