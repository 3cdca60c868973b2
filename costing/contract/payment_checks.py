"""Rules for what customers usually pay when: the deposit, the payments before the event, those after the invoice."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Final

from costing.contract.entries import Entry, Listed
from costing.contract.errors import Path
from costing.contract.kitchen import Profile
from costing.contract.problems import Problems
from costing.contract.ranges import SHARE, Range, check_minor, check_ranges
from costing.money.currencies import MINOR_DIGITS

#: Most of a usual amount [currency]; own bound, against slips.
MOST_AMOUNT: Final = 10_000_000
_AMOUNT: Final = Range("schema", f"above 0 and at most {MOST_AMOUNT}", 0, MOST_AMOUNT, above_least=True)
_PROFILE: Final[Path] = ("kitchen", "profile")


def check_payments(found: Problems, book: Entry) -> None:
    """Check the deposit and the payments; their sum only where each of them can be.

    Parameters
    ----------
    found : Problems
        Where errors go.
    book : Entry
        The document, valid against its schema.
    """
    before, profile = len(found.found), book.object("kitchen").object("profile")
    rows = list(profile.listed("payments_before", _PROFILE))
    _check_amount(found, book, profile, _PROFILE, "deposit")
    for at, row in rows:
        _check_row(found, book, at, row)
    for (at, row), (nearer_at, nearer) in pairwise(rows):
        if not row.has("share") and not row.has("amount"):
            found.report("schema", at, "payment_takes_all")
        if (nearer.number("days") or 0) >= (row.number("days") or 0):
            found.report("schema", (*nearer_at, "days"), "payment_days")
    if len(found.found) == before:
        _check_sum(found, profile, iter(rows))
    _check_after(found, book, profile)


def _check_row(found: Problems, book: Entry, at: Path, row: Entry) -> None:
    check_ranges(found, row, at, {"share": SHARE})
    _check_amount(found, book, row, at, "amount")
    if row.has("share") and row.has("amount"):
        found.report("schema", (*at, "amount"), "payment_twofold")


def _check_after(found: Problems, book: Entry, profile: Entry) -> None:
    """Check what divides the balance: something is left for its own day, which comes after that of every row."""
    days = profile.number("balance_days")
    last, latest, left = Profile().balance_days if days is None else days, Fraction(-1), Fraction(1)
    for at, row in profile.listed("payments_after", _PROFILE):
        _check_row(found, book, at, row)
        if not row.has("share") and not row.has("amount"):
            found.report("schema", at, "payment_of_nothing")
        own, left = row.number("days") or Fraction(0), left - (row.number("share") or 0)
        if not latest < own < last:
            found.report("schema", (*at, "days"), "payment_days_after")
        if left <= 0 and row.has("share"):
            found.report("schema", (*at, "share"), "payments_after_above")
        latest = Fraction(own)


def _check_amount(found: Problems, book: Entry, item: Entry, path: Path, key: str) -> None:
    check_ranges(found, item, path, {key: _AMOUNT})
    digits = MINOR_DIGITS.get(book.text("currency") or "")
    if digits is not None:
        check_minor(found, item, path, (key,), digits)


def _check_sum(found: Problems, profile: Entry, rows: Listed) -> None:
    """Check that the shares are not more than the whole; what amounts are of it, no Book knows."""
    share = profile.number("deposit_share")
    usual = Profile().deposit_share if share is None else Fraction(share)
    left = Fraction(1) if profile.has("deposit") else 1 - usual
    for at, row in rows:
        left -= row.number("share") or 0
        if left < 0 and row.has("share"):
            found.report("schema", (*at, "share"), "payments_above")
            return
