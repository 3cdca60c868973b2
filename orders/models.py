"""All models of the app, for Django to find; other code imports each from its own package."""

from orders.approvals.models import Approval, Link, Message
from orders.cooling_log.models import CoolingRecord
from orders.documents.models import Document, PreparedFile, PreparedPart, StoredBytes, StoredPart
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import (
    Invoice,
    InvoiceLine,
    InvoiceTax,
    IssuedMonth,
    IssuedMonthTax,
    OrderAccount,
    Payment,
)
from orders.orders.models import Order, OrderLine
from orders.planning.models import KitchenPlan, WindowCheck
from orders.quotes.models import BookSnapshot, CoolingOverride, Quote, QuoteExtra, QuoteLine
from orders.records.models import AuditEntry, NumberSeries
from orders.register.models import ExportBatch, ExportItem, ExportMonth
from orders.reminders.models import Reminder, ReminderRule, ReminderSettings, ReminderStop, ThingsOut

__all__ = [
    "Approval",
    "AuditEntry",
    "BookSnapshot",
    "CoolingOverride",
    "CoolingRecord",
    "Customer",
    "Document",
    "ExportBatch",
    "ExportItem",
    "ExportMonth",
    "Inquiry",
    "Invoice",
    "InvoiceLine",
    "InvoiceTax",
    "IssuedMonth",
    "IssuedMonthTax",
    "KitchenPlan",
    "Link",
    "Message",
    "NumberSeries",
    "Order",
    "OrderAccount",
    "OrderLine",
    "Payment",
    "PreparedFile",
    "PreparedPart",
    "Quote",
    "QuoteExtra",
    "QuoteLine",
    "Reminder",
    "ReminderRule",
    "ReminderSettings",
    "ReminderStop",
    "StoredBytes",
    "StoredPart",
    "ThingsOut",
    "WindowCheck",
]
