"""What customers usually pay when, and where, in a Book: read, checked and written."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from costing.contract import read_whole_book, whole_book_errors, write_whole_book
from costing.contract.book import PaymentRow
from tests.each import each
from tests.integration.catalog.book.forms import example, whole_kitchen

Profile = dict[str, Any]
Change = Callable[[Profile], Any]
KEYS = {
    "deposit",
    "payments_before",
    "payments_after",
    "final_count_fall",
    "bank_holder",
    "bank_iban",
    "bank_bic",
    "bank_routing",
    "bank_account",
}


def _rows(*rows: dict[str, Any], **others: Any) -> Change:
    def change(profile: Profile) -> None:
        del profile["deposit"]
        profile.update(payments_before=list(rows), **others)

    return change


def _after(*rows: dict[str, Any], **others: Any) -> Change:
    return lambda profile: profile.update(payments_after=list(rows), **others)


def _changed(change: Change, currency: str = "") -> dict[str, Any]:
    document = whole_kitchen()
    document["currency"] = currency or document["currency"]
    change(document["kitchen"]["profile"])
    return document


def test_what_is_stated_is_read_and_written_the_same() -> None:
    book = read_whole_book(whole_kitchen())
    profile = book.kitchen.described
    assert (profile.deposit, profile.deposit_share) == (500, Fraction("0.25"))
    assert profile.payments_before == (
        PaymentRow(60, share=Fraction("0.4")),
        PaymentRow(30, amount=Fraction("150.5")),
        PaymentRow(14),
    )
    assert profile.payments_after == (PaymentRow(0, share=Fraction("0.4")), PaymentRow(5, amount=Fraction("150.5")))
    assert profile.final_count_fall == Fraction("0.1")
    assert (profile.bank_iban, profile.bank_account) == ("DE89370400440532013000", "000123456789")
    written, stated = write_whole_book(book)["kitchen"]["profile"], whole_kitchen()["kitchen"]["profile"]
    keys = KEYS | {"payment_page"}
    assert {key: written[key] for key in keys} == {key: stated[key] for key in keys}


def test_a_book_without_them_reads_and_is_written_as_before() -> None:
    plain = example("small")
    plain["kitchen"]["profile"] = {"name": "Tansy Row Desserts"}
    book = read_whole_book(plain)
    profile = book.kitchen.described
    assert (profile.deposit, profile.payments_before, profile.bank_iban, profile.payment_page) == (None, (), "", "")
    assert write_whole_book(book)["kitchen"]["profile"] == {"name": "Tansy Row Desserts"}


@each(
    ("change", "place", "words"),
    [
        (lambda p: p.update(deposit="0"), "deposit", "above 0"),
        (lambda p: p.update(deposit="10000000.01"), "deposit", "at most 10000000"),
        (lambda p: p.update(deposit="99.995"), "deposit", "at most 2 decimals"),
        (_after({"days": 7, "share": "0.5"}), "payments_after/0/days", "all below balance_days"),
        (_after({"days": 0, "share": "0.5"}, balance_days=0), "payments_after/0/days", "all below balance_days"),
        (_after({"days": 3, "share": "0.1"}, {"days": 3, "share": "0.1"}), "payments_after/1/days", "fewest days"),
        (_after({"days": 3}), "payments_after/0", "Write a share or an amount."),
        (_after({"days": 3, "share": "1"}), "payments_after/0/share", "all of the balance or more"),
        (_after({"days": 3, "share": "0.1", "amount": "1"}), "payments_after/0/amount", "a share or an amount"),
        (_after({"days": 3, "amount": "0"}), "payments_after/0/amount", "above 0"),
        (lambda p: p.update(final_count_fall="1.01"), "final_count_fall", "between 0 and 1"),
        (_rows({"days": 731}), "payments_before/0/days", "730"),
        (_rows({"share": "0.5"}), "payments_before/0", "days"),
        (_rows({"days": 9, "share": "0"}), "payments_before/0/share", "above 0 and at most 1"),
        (_rows({"days": 9, "share": "1.1"}), "payments_before/0/share", "above 0 and at most 1"),
        (_rows({"days": 9, "amount": "-1"}), "payments_before/0/amount", "above 0"),
        (_rows({"days": 9, "amount": "1.005"}), "payments_before/0/amount", "at most 2 decimals"),
        (_rows({"days": 9, "share": "0.1", "amount": "1"}), "payments_before/0/amount", "a share or an amount"),
        (_rows({"days": 9, "share": "0.1"}, {"days": 9}), "payments_before/1/days", "each number of days once"),
        (_rows({"days": 9, "share": "0.1"}, {"days": 10}), "payments_before/1/days", "begin with the most days"),
        (_rows({"days": 9}, {"days": 8, "share": "0.1"}), "payments_before/0", "Only the last payment"),
        (_rows({"days": 9}, {"days": 8}), "payments_before/0", "Only the last payment"),
        (_rows({"days": 9, "share": "0.76"}), "payments_before/0/share", "more than 100%"),
        (_rows({"days": 9, "share": "0.5"}, {"days": 8, "share": "0.26"}), "payments_before/1/share", "more than 100%"),
        (lambda p: p["payments_before"][0].update(share="1.01"), "payments_before/0/share", "at most 1"),
        (lambda p: p.update(bank_iban="DE" + "0" * 33), "bank_iban", "34"),
        (lambda p: p.update(payment_page="https://pay.example/" + "a" * 400), "payment_page", "400"),
    ],
)
def test_each_is_refused_at_its_place_in_words(change: Change, place: str, words: str) -> None:
    found = whole_book_errors(_changed(change))
    assert [error.at for error in found] == [f"book#/kitchen/profile/{place}"]
    assert words in found[0].message


def test_the_usual_deposit_counts_where_no_share_is_stated() -> None:
    def change(profile: Profile) -> None:
        _rows({"days": 9, "share": "0.71"})(profile)
        del profile["deposit_share"]

    assert [error.at for error in whole_book_errors(_changed(change))] == [
        "book#/kitchen/profile/payments_before/0/share"
    ]


@pytest.mark.parametrize(
    "change",
    [
        _rows({"days": 9, "share": "0.75"}),
        _rows({"days": 9, "share": "0.75"}, {"days": 8}),
        _rows({"days": 9, "amount": "10000000"}, {"days": 8, "share": "0.75"}),
        _rows({"days": 0}, deposit_share="1"),
        # An amount counts instead of the share.
        lambda profile: profile.update(payments_before=[{"days": 9, "share": "1"}]),
    ],
)
def test_the_whole_and_what_amounts_may_be_of_it_are_taken(change: Change) -> None:
    assert whole_book_errors(_changed(change)) == []
