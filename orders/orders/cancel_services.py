"""Canceling an order by the table of its terms: what is retained is recorded and charged, the rest goes back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.kitchen.selectors import kitchen, local_day
from catalog.taxes.models import TaxCategory
from catalog.taxes.selectors import tax_row
from orders.invoices.selectors import draft_invoice, standing_invoice
from orders.invoices.services import draft_drop, drafted
from orders.orders.canceling import Canceling, canceling
from orders.orders.models import Order
from orders.quotes.amendments.services import amendments_void
from orders.quotes.mails import quote_mail_ask
from orders.quotes.selectors import quote_locked
from orders.records.cancel_errors import (
    CancelingChanged,
    ChargeTaxMissing,
    ChargeTaxNoRate,
    LessWithoutReason,
    NoCancellationTable,
    RetainsTooMuch,
)
from orders.records.money import from_minor
from orders.records.states import OrderEvent
from orders.records.transitions import transition


@dataclass(frozen=True, slots=True)
class Decision:
    """What the owner decided: who canceled, and of the customer's cancellation what is retained and how it is taxed.

    ``retained_minor`` is None for as much as the terms say; less needs ``retained_reason``. ``goods`` are begun work
    and bought goods with their amounts in whole minor units, for the record. ``seen`` is the mark of what was shown
    (:attr:`Canceling.mark`); empty where a program decides.
    """

    by: str
    reason: str
    retained_minor: int | None = None
    retained_reason: str = ""
    tax_id: int | None = None
    goods: Sequence[tuple[str, int]] = ()
    seen: str = ""


@transaction.atomic(durable=True)
def order_cancel_by_terms(*, order_id: int, decision: Decision, by: str, at: datetime) -> Order:
    """Cancel an order by the table of its terms; a cancellation by the kitchen retains nothing.

    What is retained is drafted as a charge, unless an issued invoice of the order is still to be credited; a draft of
    the order's invoice is discarded. The customer gets a mail where there is an address.

    Raises
    ------
    NoCancellationTable
        When what was agreed has no table.
    CancelingChanged
        When terms, payments or the day are no longer as they were shown.
    RetainsTooMuch, LessWithoutReason
        When more is retained than the row says, or less without a reason.
    ChargeTaxMissing, ChargeTaxNoRate
        When nobody said how what is retained is taxed, or that category has no rate today.
    TransitionNotAllowed
        When the order is handed over, closed or canceled already.
    """
    # Whoever approves a change of it locks its quotes first too.
    quote_locked(Order.objects.values_list("quote_id", flat=True).get(pk=order_id))
    order = Order.objects.select_for_update(of=("self",)).select_related("quote__inquiry__customer").get(pk=order_id)
    found = canceling(order, at=at)
    if found is None:
        raise NoCancellationTable(order=order.number)
    if decision.seen and decision.seen != found.mark:
        raise CancelingChanged(order=order.number)
    columns = _columns(found, decision, order, at)
    params = {name: columns[name] for name in ("canceled_by", "retained_minor", "canceled_money")}
    transition(
        order,
        OrderEvent.CANCEL,
        by=by,
        at=at,
        note=decision.reason,
        params={**params, "currency": order.currency},
        canceled_at=at,
        canceled_reason=decision.reason,
        **columns,
    )
    amendments_void(order, by=by, at=at)
    _documents(order, by=by, at=at)
    quote_mail_ask("canceled", order.quote, at=at)
    return order


def _columns(found: Canceling, decision: Decision, order: Order, at: datetime) -> dict[str, Any]:
    """Return the columns of a cancellation; refuse what the terms do not allow."""
    customers = decision.by == Order.CanceledBy.CUSTOMER
    retained = _retained(found, decision, order) if customers else 0
    row = None if found.row is None else {"days": found.row.days, "share": format(found.row.share, "f")}
    return {
        "canceled_by": decision.by,
        # What is paid beyond it, now or later, goes back.
        "canceled_money": Order.CanceledMoney.REFUND,
        "retained_minor": retained,
        "retained_reason": decision.retained_reason.strip() if customers and retained < found.most_minor else "",
        "canceled_terms": {
            "days_before": found.days_before,
            "row": row,
            "share": "0" if row is None else row["share"],
            "most_minor": found.most_minor,
            "tax": _tax(decision.tax_id, at) if retained else None,
            "goods": [{"name": name, "amount_minor": amount} for name, amount in decision.goods] if customers else [],
        },
    }


def _retained(found: Canceling, decision: Decision, order: Order) -> int:
    """Return what is retained of a customer's cancellation: what the row says, or less with a reason."""
    retained = found.most_minor if decision.retained_minor is None else decision.retained_minor
    most = from_minor(found.most_minor, order.currency)
    if not 0 <= retained <= found.most_minor:
        raise RetainsTooMuch(place="retained", most=most)
    if retained < found.most_minor and not decision.retained_reason.strip():
        raise LessWithoutReason(place="retained_reason", most=most)
    return retained


def _tax(tax_id: int | None, at: datetime) -> dict[str, str]:
    """Return the tax of the charge as it is in force today, as JSON; the kitchen's own category is the usual one."""
    chosen = tax_id or kitchen().cancellation_tax_id
    tax = TaxCategory.objects.prefetch_related("rates").filter(pk=chosen or 0).first()
    if tax is None:
        raise ChargeTaxMissing(place="tax")
    rate = tax_row(tax, today=local_day(at)).in_force
    if rate is None:
        raise ChargeTaxNoRate(place="tax", tax=str(tax))
    return {
        "code": tax.code,
        "name": f"{kitchen().tax_name}, {tax}"[:80],
        "untdid": tax.untdid,
        "exempt_reason": tax.exempt_reason,
        "rate": format(rate.rate, "f"),
    }


def _documents(order: Order, *, by: str, at: datetime) -> None:
    """Discard the draft of what is not made any more, and draft the charge where no issued invoice is in its way."""
    draft = draft_invoice(order)
    if draft is not None:
        draft_drop(draft, by=by, at=at)
    if order.retained_minor and standing_invoice(order) is None:
        drafted(order, by=by, at=at)
