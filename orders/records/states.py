"""What may happen to a quote, an order and an invoice: status × event -> status. Nothing else moves them."""

from collections.abc import Mapping

from django.db import models


class QuoteStatus(models.TextChoices):
    """Where a quote stands."""

    DRAFT = "draft", "draft"
    SENT = "sent", "waiting for an answer"
    APPROVED = "approved", "approved"
    DECLINED = "declined", "declined"
    EXPIRED = "expired", "expired"
    WITHDRAWN = "withdrawn", "withdrawn"


class QuoteEvent(models.TextChoices):
    """What can happen to a quote."""

    SEND = "send", "send"
    APPROVE = "approve", "approve"
    DECLINE = "decline", "decline"
    EXPIRE = "expire", "expire"
    WITHDRAW = "withdraw", "withdraw"
    REPLACE = "replace", "replace by a revision"


class OrderStatus(models.TextChoices):
    """Where an order stands."""

    CONFIRMED = "confirmed", "confirmed"
    IN_PRODUCTION = "in_production", "in production"
    DELIVERED = "delivered", "handed over"
    CLOSED = "closed", "closed"
    CANCELED = "canceled", "canceled"


class OrderEvent(models.TextChoices):
    """What can happen to an order."""

    START = "start", "start production"
    DELIVER = "deliver", "hand over"
    CLOSE = "close", "close"
    CANCEL = "cancel", "cancel"


class InvoiceStatus(models.TextChoices):
    """Where an invoice or credit note stands."""

    DRAFT = "draft", "draft"
    ISSUED = "issued", "issued"
    PART_PAID = "part_paid", "part paid"
    PAID = "paid", "paid"


class InvoiceEvent(models.TextChoices):
    """What can happen to an invoice."""

    ISSUE = "issue", "issue"
    PAY_PART = "pay_part", "part of it is paid"
    PAY_ALL = "pay_all", "all of it is paid or credited"
    UNPAY = "unpay", "a payment is taken back"


Table = Mapping[str, Mapping[str, str]]

QUOTE_TRANSITIONS: Table = {
    QuoteStatus.DRAFT: {QuoteEvent.SEND: QuoteStatus.SENT, QuoteEvent.WITHDRAW: QuoteStatus.WITHDRAWN},
    QuoteStatus.SENT: {
        QuoteEvent.APPROVE: QuoteStatus.APPROVED,
        QuoteEvent.DECLINE: QuoteStatus.DECLINED,
        QuoteEvent.EXPIRE: QuoteStatus.EXPIRED,
        QuoteEvent.WITHDRAW: QuoteStatus.WITHDRAWN,
        QuoteEvent.REPLACE: QuoteStatus.WITHDRAWN,
    },
    QuoteStatus.APPROVED: {},
    QuoteStatus.DECLINED: {},
    QuoteStatus.EXPIRED: {},
    QuoteStatus.WITHDRAWN: {},
}

ORDER_TRANSITIONS: Table = {
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

INVOICE_TRANSITIONS: Table = {
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
