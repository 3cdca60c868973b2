"""Statuses, events and transition tables of quotes, orders and invoices: status × event -> status."""

from collections.abc import Mapping
from typing import Final

from django.db import models
from django.utils.translation import gettext_lazy as _


class QuoteStatus(models.TextChoices):
    """Status of a quote."""

    DRAFT = "draft", _("draft")
    SENT = "sent", _("sent")
    APPROVED = "approved", _("approved")
    DECLINED = "declined", _("declined")
    EXPIRED = "expired", _("expired")
    WITHDRAWN = "withdrawn", _("withdrawn")
    #: Approved, and no longer in force: the customer approved a change of the order.
    AMENDED = "amended", _("amended")


#: Statuses of quotes from which something is made, or may be.
QUOTES_ALIVE: Final = (QuoteStatus.DRAFT, QuoteStatus.SENT, QuoteStatus.APPROVED)


class QuoteEvent(models.TextChoices):
    """Event of a quote."""

    SEND = "send"
    APPROVE = "approve"
    DECLINE = "decline"
    EXPIRE = "expire"
    WITHDRAW = "withdraw"
    REPLACE = "replace"
    AMEND = "amend"


class OrderStatus(models.TextChoices):
    """Status of an order."""

    CONFIRMED = "confirmed", _("confirmed")
    IN_PRODUCTION = "in_production", _("in production")
    DELIVERED = "delivered", _("delivered or picked up")
    CLOSED = "closed", _("closed")
    CANCELED = "canceled", _("canceled")


#: Statuses of orders that must still be made or handed over.
ORDERS_AHEAD: Final = (OrderStatus.CONFIRMED, OrderStatus.IN_PRODUCTION)


class OrderEvent(models.TextChoices):
    """Event of an order."""

    START = "start"
    DELIVER = "deliver"
    CLOSE = "close"
    CANCEL = "cancel"


class InvoiceStatus(models.TextChoices):
    """Status of an invoice or credit note."""

    DRAFT = "draft", _("draft")
    ISSUED = "issued", _("issued")
    PART_PAID = "part_paid", _("partly paid")
    PAID = "paid", _("paid")


class InvoiceEvent(models.TextChoices):
    """Event of an invoice: part or all of it is paid or credited, or a payment is reversed."""

    ISSUE = "issue"
    PAY_PART = "pay_part"
    PAY_ALL = "pay_all"
    UNPAY = "unpay"


#: Status -> event -> next status. A pair that is not in the table is not allowed.
TransitionTable = Mapping[str, Mapping[str, str]]

QUOTE_TRANSITIONS: TransitionTable = {
    QuoteStatus.DRAFT: {QuoteEvent.SEND: QuoteStatus.SENT, QuoteEvent.WITHDRAW: QuoteStatus.WITHDRAWN},
    QuoteStatus.SENT: {
        QuoteEvent.APPROVE: QuoteStatus.APPROVED,
        QuoteEvent.DECLINE: QuoteStatus.DECLINED,
        QuoteEvent.EXPIRE: QuoteStatus.EXPIRED,
        QuoteEvent.WITHDRAW: QuoteStatus.WITHDRAWN,
        QuoteEvent.REPLACE: QuoteStatus.WITHDRAWN,
    },
    QuoteStatus.APPROVED: {QuoteEvent.AMEND: QuoteStatus.AMENDED},
    QuoteStatus.DECLINED: {},
    QuoteStatus.EXPIRED: {},
    QuoteStatus.WITHDRAWN: {},
    QuoteStatus.AMENDED: {},
}

ORDER_TRANSITIONS: TransitionTable = {
    OrderStatus.CONFIRMED: {
        OrderEvent.START: OrderStatus.IN_PRODUCTION,
        OrderEvent.DELIVER: OrderStatus.DELIVERED,
        OrderEvent.CANCEL: OrderStatus.CANCELED,
    },
    OrderStatus.IN_PRODUCTION: {
        OrderEvent.DELIVER: OrderStatus.DELIVERED,
        OrderEvent.CANCEL: OrderStatus.CANCELED,
    },
    OrderStatus.DELIVERED: {OrderEvent.CLOSE: OrderStatus.CLOSED},
    OrderStatus.CLOSED: {},
    OrderStatus.CANCELED: {},
}

INVOICE_TRANSITIONS: TransitionTable = {
    InvoiceStatus.DRAFT: {InvoiceEvent.ISSUE: InvoiceStatus.ISSUED},
    InvoiceStatus.ISSUED: {
        InvoiceEvent.PAY_PART: InvoiceStatus.PART_PAID,
        InvoiceEvent.PAY_ALL: InvoiceStatus.PAID,
    },
    InvoiceStatus.PART_PAID: {
        InvoiceEvent.PAY_PART: InvoiceStatus.PART_PAID,
        InvoiceEvent.PAY_ALL: InvoiceStatus.PAID,
        InvoiceEvent.UNPAY: InvoiceStatus.ISSUED,
    },
    InvoiceStatus.PAID: {
        InvoiceEvent.PAY_PART: InvoiceStatus.PART_PAID,
        InvoiceEvent.UNPAY: InvoiceStatus.ISSUED,
    },
}
