"""The register's filter, and the documents it shows; what is in no export yet."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from django.db.models import Count, Max, Min, Q, QuerySet, Sum

from orders.inquiries.models import Customer
from orders.invoices.models import IS_INVOICE, Invoice, IssuedMonth
from orders.invoices.selectors import OPEN
from orders.records.numbers import SERIES
from orders.records.states import InvoiceStatus
from orders.register.models import ExportMonth

#: The exports that the register speaks of.
TARGET: Final = "register"
#: A document's or order's number as people write it, whole or its beginning; its digits alone are a whole number.
_NUMBER: Final = re.compile(rf"(?:{'|'.join(SERIES.values())})\d*", re.IGNORECASE)
#: More digits than a number has.
_LONGEST: Final = 20
_DIGITS: Final = re.compile(r"\d{1,18}")


@dataclass(frozen=True)
class RegisterFilter:
    """A filter of documents; empty fields do not narrow it."""

    kind: str = ""
    standing: str = ""
    first: date | None = None
    last: date | None = None
    find: str = ""
    exported: str = ""


def month_of(day: date) -> tuple[date, date]:
    """Return the first and the last day of a day's month."""
    first = day.replace(day=1)
    return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)


def register(chosen: RegisterFilter, *, today: date) -> QuerySet[Invoice]:
    """Return the documents a filter shows, the latest first."""
    documents = Invoice.objects.exclude(status=InvoiceStatus.DRAFT)
    if chosen.kind:
        documents = documents.filter(kind=chosen.kind)
    if chosen.first:
        documents = documents.filter(issued_on__gte=chosen.first)
    if chosen.last:
        documents = documents.filter(issued_on__lte=chosen.last)
    if chosen.exported == "no":
        documents = documents.filter(_in_months(months_not_exported(TARGET))).exclude(exports__target=TARGET)
    if chosen.find:
        documents = documents.filter(_found(chosen.find))
    return documents.filter(_stands(chosen.standing, today)).order_by("-issued_on", "-pk")


def _found(text: str) -> Q:
    """Find a number by its beginning or its digits, else a customer: no search reads every document there is.

    Three searches put together, because a condition with "or" over several tables reads all of them.
    """
    number, order = Q(pk__in=[]), Q(pk__in=[])
    if _NUMBER.fullmatch(text):
        number, order = begins_with("number", text.upper()), begins_with("order__number", text.upper())
    elif _DIGITS.fullmatch(text):
        whole = [f"{prefix}{int(text):05d}" for prefix in SERIES.values()]
        number, order = Q(number__in=whole), Q(order__number__in=whole)
    searches = [number, order, Q(order__customer__in=Customer.objects.filter(name__icontains=text))]
    first, *others = (Invoice.objects.filter(search).order_by().values("pk") for search in searches)
    return Q(pk__in=first.union(*others))


def begins_with(column: str, begins: str) -> Q:
    """Return the condition that a number begins so, as a range that an index answers.

    Both ends are written with the characters of numbers alone: digits come one after the other in every collation, and
    what comes after a 9 differs.
    """
    return Q(**{f"{column}__gte": begins, f"{column}__lte": begins + "9" * _LONGEST})


def _stands(standing: str, today: date) -> Q:
    is_open = IS_INVOICE & Q(status__in=OPEN)
    return {
        "open": _few(is_open),
        "overdue": _few(is_open & Q(due_on__lt=today) & (Q(next_on=None) | Q(next_on__lt=today))),
        # Not "status is paid": SQLite would take the index on it, for nearly all documents.
        "paid": IS_INVOICE & ~Q(status__in=OPEN),
    }.get(standing, Q())


def _few(condition: Q) -> Q:
    """Return a condition as the list of its documents: asked for the latest, SQLite would go through all by day."""
    return Q(pk__in=Invoice.objects.filter(condition).order_by().values("pk"))


def months_not_exported(target: str) -> list[date]:
    """Return the months of which some document is in no export of a target: two queries, of sums."""
    issued = IssuedMonth.objects.values_list("month").annotate(Sum("documents"))
    exported = ExportMonth.objects.filter(batch__target=target).values_list("month").annotate(Sum("documents"))
    gone = dict(exported)
    return sorted(month for month, documents in issued if documents > gone.get(month, 0))


def _in_months(months: Iterable[date]) -> Q:
    """Return the condition that a document was issued in one of the months; months in a row are one period."""
    runs: list[tuple[date, date]] = []
    for first, last in map(month_of, months):
        if runs and runs[-1][1] + timedelta(days=1) == first:
            runs[-1] = (runs[-1][0], last)
        else:
            runs.append((first, last))
    found = Q(pk__in=[])
    for run in runs:
        found |= Q(issued_on__range=run)
    return found


@dataclass(frozen=True)
class NotExported:
    """Documents of one currency that are in no export yet."""

    currency: str
    documents: int
    first: date
    last: date


def not_exported(target: str = TARGET) -> list[NotExported]:
    """Count the issued documents that are in no export, by currency: three queries."""
    rows = (
        Invoice.objects.exclude(status=InvoiceStatus.DRAFT)
        .filter(_in_months(months_not_exported(target)))
        .exclude(exports__target=target)
        .order_by()
        .values("currency")
        .annotate(documents=Count("pk"), first=Min("issued_on"), last=Max("issued_on"))
        .order_by("currency")
    )
    return [NotExported(**row) for row in rows]
