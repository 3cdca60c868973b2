"""From an enquiry to clean books."""

from orders.models.money import (
    AuditEntry,
    ExportBatch,
    ExportItem,
    Invoice,
    InvoiceLine,
    InvoiceTax,
    NumberSeries,
    Order,
    OrderLine,
    Payment,
)
from orders.models.people import Customer, Enquiry
from orders.models.quotes import Approval, BookSnapshot, Document, Link, Message, Quote, QuoteExtra, QuoteLine

__all__ = [
    "Approval",
    "AuditEntry",
    "BookSnapshot",
    "Customer",
    "Document",
    "Enquiry",
    "ExportBatch",
    "ExportItem",
    "Invoice",
    "InvoiceLine",
    "InvoiceTax",
    "Link",
    "Message",
    "NumberSeries",
    "Order",
    "OrderLine",
    "Payment",
    "Quote",
    "QuoteExtra",
    "QuoteLine",
]
