"""How long rows are kept, kind by kind, and letting go of what is older.

The periods are cautious defaults: local law decides, and settings change them (``COLDSET_RETENTION``). What no rule
removes is kept for good; the database refuses to delete issued documents and the audit trail. Ended sessions and
counted tries say when they are over, so the clock clears them all each hour (``settings.PERIODIC_WORK``).
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from django.conf import settings
from django.db import DatabaseError, transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from catalog.outbox.models import Outbox
from catalog.pictures.selectors import pictures_unused
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_file_delete
from catalog.spreadsheets.imports import spreadsheet_file_delete
from catalog.spreadsheets.models import Spreadsheet
from catalog.upkeep.models import Backup, Heartbeat
from orders.approvals.models import Approval
from orders.documents.models import PreparedFile
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.personal_data.selectors import DataSubject, still_open
from orders.personal_data.services import erase_origins, erase_words, inquiry_erase, quotes_erase
from orders.quotes.models import Quote
from orders.records.actors import CLOCK
from orders.records.row_rules import ERASED
from orders.records.states import OrderStatus, QuoteStatus

logger = logging.getLogger(__name__)

#: At most so many rows of a kind at once; the next round takes the rest.
ROUND: Final = 500
#: The rows of a kind that are older than a moment.
Older = Callable[[datetime], QuerySet[Any]]


@dataclass(frozen=True, slots=True)
class Rule:
    """A kind of row: which rows are older than it is kept, and what is done with one.

    ``of_itself`` kinds hold nothing anybody would look for: they go without being asked. Without ``older`` the kind is
    kept. How many days is said in ``orders.personal_data.periods`` and the settings.
    """

    kind: str
    older: Older | None = None
    let_go: Callable[[Any, datetime], None] | None = None
    of_itself: bool = False


@dataclass(frozen=True, slots=True)
class RetentionRow:
    """A rule as it stands today: its kind, its days, and how many rows are older."""

    kind: str
    days: int
    due: int
    removed: bool
    of_itself: bool


def _delete(row: Any, at: datetime) -> None:
    row.delete()


def _delete_file(price_list: PriceList, at: datetime) -> None:
    price_list_file_delete(price_list_id=price_list.pk, at=at)


def _delete_spreadsheet(spreadsheet: Spreadsheet, at: datetime) -> None:
    spreadsheet_file_delete(spreadsheet_id=spreadsheet.pk, at=at)


def _erase_lost(inquiry: Inquiry, at: datetime) -> None:
    """Erase an inquiry that came to nothing, with the words of its messages and notes."""
    subject = DataSubject(inquiry.customer, only=inquiry)
    erase_words(subject, by=CLOCK, at=at)
    erase_origins(subject.approvals, by=CLOCK, at=at)
    quotes_erase(subject, by=CLOCK, at=at)
    inquiry_erase(inquiry, by=CLOCK, at=at)


def _erase_origin(approval: Approval, at: datetime) -> None:
    erase_origins([approval], by=CLOCK, at=at)


def _lost(before: datetime) -> QuerySet[Inquiry]:
    """Return inquiries of a day before, without an order and without a quote that waits for an answer."""
    standing = Quote.objects.filter(inquiry=OuterRef("pk"), status__in=[QuoteStatus.SENT, QuoteStatus.APPROVED])
    filed = Quote.objects.filter(inquiry=OuterRef("pk"), pdf__isnull=False)
    return Inquiry.objects.filter(~Exists(standing), window_end__lt=before).exclude(~Exists(filed), title=ERASED)


def _unused(before: datetime) -> QuerySet[Customer]:
    asked = Inquiry.objects.filter(customer=OuterRef("pk"))
    ordered = Order.objects.filter(customer=OuterRef("pk"))
    return Customer.objects.filter(~Exists(asked), ~Exists(ordered), created_at__lt=before)


def _with_origin(before: datetime) -> QuerySet[Approval]:
    ended = [OrderStatus.CLOSED, OrderStatus.CANCELED]
    known = Q(ip__isnull=False) | ~Q(user_agent__in=["", ERASED])
    return Approval.objects.filter(known, quote__order__status__in=ended, quote__order__window_end__lt=before)


#: The table: kind, rows, and what is done.
RULES: Final = (
    Rule(
        "outbox",
        lambda before: Outbox.objects.filter(status=Outbox.Status.DONE, done_at__lt=before),
        _delete,
        of_itself=True,
    ),
    Rule("backup", lambda before: Backup.objects.filter(at__lt=before), _delete, of_itself=True),
    Rule("prepared_file", lambda before: PreparedFile.objects.filter(asked_at__lt=before), _delete, of_itself=True),
    Rule(
        "price_list_file",
        lambda before: PriceList.objects.filter(uploaded_at__lt=before, file_deleted_at=None).exclude(
            status=PriceList.Status.WAITING
        ),
        _delete_file,
        of_itself=True,
    ),
    Rule(
        "spreadsheet_file",
        lambda before: Spreadsheet.objects.filter(uploaded_at__lt=before, file_deleted_at=None).exclude(
            status=Spreadsheet.Status.WAITING
        ),
        _delete_spreadsheet,
        of_itself=True,
    ),
    Rule("picture", pictures_unused, _delete, of_itself=True),
    Rule("inquiry", _lost, _erase_lost),
    Rule("customer", _unused, _delete),
    Rule("approval_origin", _with_origin, _erase_origin),
    Rule("document"),
    Rule("audit"),
)


def retention_table(*, at: datetime) -> list[RetentionRow]:
    """Return every rule with the number of rows that are older now."""
    return [
        RetentionRow(rule.kind, _days(rule), _due(rule, at).count(), rule.let_go is not None, rule.of_itself)
        for rule in RULES
    ]


def retention_apply(*, at: datetime, everything: bool) -> dict[str, int]:
    """Let go of what is older than its period, each row in a transaction of its own; return how many of each kind.

    Without ``everything`` only the kinds that go of themselves. A row that cannot go is logged and holds up no other.
    """
    done = {}
    for rule in RULES:
        if rule.older and rule.let_go and (everything or rule.of_itself):
            done[rule.kind] = _apply(rule, rule.let_go, at)
    return done


def retention_round(*, at: datetime) -> None:
    """Apply the rules once a day: those of themselves, and all where the settings say so."""
    today, _ = Heartbeat.objects.get_or_create(process="retention", defaults={"at": at - timedelta(days=1)})
    if today.at > at - timedelta(days=1):
        return
    if Heartbeat.objects.filter(pk=today.pk, at=today.at).update(at=at):
        retention_apply(at=at, everything=settings.RETENTION_APPLY)


def _apply(rule: Rule, let_go: Callable[[Any, datetime], None], at: datetime) -> int:
    done, due = 0, _due(rule, at).order_by("pk")
    # One by one, because a row that has to stay must not take the place of one that can go.
    for pk in list(due.values_list("pk", flat=True)):
        if done == ROUND:
            break
        row = due.filter(pk=pk).first()
        if row is None:
            continue
        try:
            with transaction.atomic():
                if isinstance(row, Inquiry) and still_open(DataSubject(row.customer, only=row)):
                    continue
                let_go(row, at)
        except DatabaseError:  # refused by a trigger, or something names the row since
            logger.exception("%s %s is older than its period and could not go", rule.kind, row.pk)
            continue
        done += 1
    return done


def _due(rule: Rule, at: datetime) -> QuerySet[Any]:
    if rule.older is None:
        return Outbox.objects.none()
    return rule.older(at - timedelta(days=_days(rule)))


def _days(rule: Rule) -> int:
    days: int = settings.RETENTION_DAYS[rule.kind]
    return days
