"""The kitchen's profile, pricing and hours: rows to Book values, and back."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal, cast

from babel.core import Locale, UnknownLocaleError
from django.core.exceptions import ValidationError

from catalog.book.row_writing import create
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, decimal_or_none, exact, exact_or_none
from catalog.kitchen.bank import account_fits, bic_fits, iban_fits, page_problem, routing_fits
from catalog.kitchen.cancellation import RetainedRow, rows_read, rows_stored
from catalog.kitchen.models import UNNAMED, ClosedDay, DatedHours, HandOverHours, Kitchen, OpenHours, Vehicle
from catalog.kitchen.payment_schedule import PaymentRow, after_read, after_stored, payments_read, payments_stored
from catalog.kitchen.selectors import kitchen
from catalog.records.real_words import says_something
from costing.contract import Book
from costing.contract import book as values
from costing.contract.problems import Problems
from costing.measures.units import CupKind
from costing.money.rounding import minor_digits, to_minor

#: Keys of the profile whose columns hold something else: rows as JSON, minor units, a row of another table.
_CONVERTED: Final = ("cancellation_table", "cancellation_tax", "deposit", "payments_before", "payments_after")
#: Columns of the profile; their keys in the Book have the same names.
PROFILE: Final = tuple(field.name for field in fields(values.Profile) if field.name not in _CONVERTED)
#: Part of the Book -> its rows and its records; columns and fields have the same names.
CALENDAR: Final[dict[str, tuple[type[Any], type[Any]]]] = {
    "hours": (OpenHours, values.OpenHours),
    "hand_over_hours": (HandOverHours, values.HandOverHours),
    "days": (DatedHours, values.DatedHours),
    "closed": (ClosedDay, values.ClosedDay),
}
#: Columns of what the kitchen charges by.
PRICING: Final = ("price_step", "waste", "floor_margin", "order_minimum", "rush_rate")
_COLUMNS: Final = (
    *PROFILE,
    *PRICING,
    "currency",
    "cup",
    "prices",
    "cancellation_table",
    "deposit_minor",
    "payments_before",
    "payments_after",
)
#: Bank details: key -> what fits there, and the sentence of what does not.
_BANK: Final[dict[str, tuple[Callable[[str], bool], str]]] = {
    "bank_iban": (iban_fits, "no_iban"),
    "bank_bic": (bic_fits, "no_bic"),
    "bank_routing": (routing_fits, "no_routing_number"),
    "bank_account": (account_fits, "no_account_number"),
    "payment_page": (lambda text: page_problem(text) is None, "no_payment_page"),
}
#: Key -> the key without which it says nothing.
_NEEDED: Final = (
    ("bank_iban", "bank_holder"),
    ("bank_account", "bank_holder"),
    ("bank_account", "bank_routing"),
    ("bank_routing", "bank_account"),
    ("bank_bic", "bank_iban"),
)


def _read(book: Book, _: RecordCache) -> Book:
    """Add currency, pricing, profile, calendar and vehicles; six queries."""
    stated = _stated()
    calendar: dict[str, Any] = {name: _records(*both) for name, both in CALENDAR.items()}
    return replace(
        book,
        currency=stated["currency"],
        kitchen=values.Kitchen(
            cup=cast(CupKind, stated["cup"]),
            prices=cast(Literal["net", "gross"], stated["prices"]),
            profile=values.Profile(
                **{name: _value(stated[name]) for name in PROFILE}, **_cancellation(stated), **_payments(stated)
            ),
            **{name: exact(stated[name]) for name in PRICING},
        ),
        **calendar,
        vehicles=tuple(values.Vehicle(*one) for one in Rows(Vehicle, "name", "cold")),
    )


def _stated() -> dict[str, Any]:
    """Return the columns of the kitchen's row with the code of the tax on canceling; their defaults without a row."""
    row = next(iter(Rows(Kitchen, *_COLUMNS, "cancellation_tax__code")), None)
    if row is None:
        blank = kitchen()
        row = (*(getattr(blank, name) for name in _COLUMNS), None)
    return dict(zip((*_COLUMNS, "cancellation_tax"), row, strict=True))


def _cancellation(stated: Mapping[str, Any]) -> dict[str, Any]:
    """Return the cancellation table and the code of its tax; the section of taxes writes the latter back."""
    rows = rows_read(stated["cancellation_table"])
    return {
        "cancellation_table": tuple(values.CancellationRow(one.days, exact(one.share)) for one in rows),
        "cancellation_tax": stated["cancellation_tax"] or "",
    }


def _payments(stated: Mapping[str, Any]) -> dict[str, Any]:
    """Return the deposit as an amount, the payments before the event, and those after the invoice."""
    currency = stated["currency"]

    def rows(read: Iterable[PaymentRow]) -> tuple[values.PaymentRow, ...]:
        return tuple(
            values.PaymentRow(row.days, exact_or_none(row.share), _amount(row.amount_minor, currency)) for row in read
        )

    return {
        "deposit": _amount(stated["deposit_minor"], currency),
        "payments_before": rows(payments_read(stated["payments_before"])),
        "payments_after": rows(after_read(stated["payments_after"])),
    }


def _amount(minor: int | None, currency: str) -> Fraction | None:
    return None if minor is None else exact(Decimal(minor).scaleb(-minor_digits(currency)))


def _minor(amount: Fraction | None, currency: str) -> int | None:
    return None if amount is None else to_minor(amount, minor_digits(currency))


def _records(model: type[Any], kind: type[Any]) -> tuple[Any, ...] | None:
    """Return a calendar's rows as records of the Book; None where there are none."""
    return tuple(kind(*row) for row in Rows(model, *_columns(kind))) or None


def _columns(kind: type[Any]) -> list[str]:
    return [each.name for each in fields(kind)]


def _value(column: Any) -> Any:
    return exact(column) if isinstance(column, Decimal) else column


def _write(book: Book, keys: Keys) -> None:
    """Write the kitchen's row and calendar; what it has none of of the rest is unchanged."""
    columns: dict[str, Any] = {"currency": book.currency, "cup": book.kitchen.cup, "prices": book.kitchen.prices}
    columns |= {name: decimal(getattr(book.kitchen, name)) for name in PRICING}
    if book.kitchen.profile is not None:
        columns |= dict(_profile(book.kitchen.profile, book.currency))
    if book.vehicles:
        columns["vehicle_cold"] = all(one.cold for one in book.vehicles)
    if not Kitchen.objects.filter(pk=1).update(**columns):
        Kitchen.objects.create(pk=1, **(dict(_profile(values.Profile(), book.currency)) | columns))
    # A Book with a profile describes the kitchen completely: what it does not list is removed.
    described = book.kitchen.profile is not None
    for name, (model, kind) in CALENDAR.items():
        records = getattr(book, name)
        if described or records is not None:
            model._default_manager.all().delete()
            create(model, (model(**{key: getattr(one, key) for key in _columns(kind)}) for one in records or ()))
    if described or book.vehicles:
        Vehicle.objects.all().delete()
        create(Vehicle, (Vehicle(name=one.name, cold=one.cold, position=i) for i, one in enumerate(book.vehicles)))


def _profile(profile: values.Profile, currency: str) -> Iterator[tuple[str, Any]]:
    for name in PROFILE:
        value = getattr(profile, name)
        yield name, decimal(value) if isinstance(value, Fraction) else value
    rows = (RetainedRow(row.days, decimal(Fraction(row.share))) for row in profile.cancellation_table)
    yield "cancellation_table", rows_stored(rows)
    yield "deposit_minor", _minor(profile.deposit, currency)
    for name, stored in (("payments_before", payments_stored), ("payments_after", after_stored)):
        rows_of: Iterable[values.PaymentRow] = getattr(profile, name)
        yield name, stored(PaymentRow(r.days, decimal_or_none(r.share), _minor(r.amount, currency)) for r in rows_of)


def _check(found: Problems) -> None:
    """Check the profile against the limits of its columns, and its locale against the known ones."""
    profile = found.document["kitchen"].get("profile")
    if profile is None:
        return
    columns = {key: value for key, value in profile.items() if key in PROFILE}
    row = Kitchen(**({"name": UNNAMED, "email": ""} | columns))
    # An e-mail address may still be unknown; everything else has a default.
    skipped = {field.name for field in Kitchen._meta.fields} - set(PROFILE) | ({"email"} if not row.email else set())
    try:
        row.clean_fields(exclude=skipped)
    except ValidationError as refused:
        for key, messages in refused.message_dict.items():
            sentence = f"{key.replace('_', ' ').capitalize()}: {messages[0]}"
            found.add("schema", ("kitchen", "profile", key), sentence, reason="column")
    if row.time_out_source and not says_something(row.time_out_source):
        found.report("schema", ("kitchen", "profile", "time_out_source"), "source_says_nothing")
    try:
        Locale.parse(row.locale)
    except (UnknownLocaleError, ValueError):
        found.report("schema", ("kitchen", "profile", "locale"), "no_locale")
    _check_bank(found, row)


def _check_bank(found: Problems, row: Kitchen) -> None:
    """Check the bank details as their form does: a customer who pays to a wrong number loses the money."""
    for key, (fits, reason) in _BANK.items():
        if getattr(row, key) and not fits(getattr(row, key)):
            found.report("schema", ("kitchen", "profile", key), reason)
    for key, needed in _NEEDED:
        if getattr(row, key) and not getattr(row, needed).strip():
            found.report("schema", ("kitchen", "profile", key), "bank_needs", needed=needed)


SECTION: Final = Section(read=_read, write=_write, check=_check)
