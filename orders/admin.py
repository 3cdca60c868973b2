"""The documents' rows in the admin, read-only."""

from django.contrib import admin

from catalog.web.admin import ReadOnlyAdmin
from orders.approvals.models import Approval, Link, Message
from orders.documents.models import Document
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import Invoice, Payment
from orders.orders.models import Order
from orders.quotes.models import BookSnapshot, Quote
from orders.records.models import AuditEntry, NumberSeries
from orders.register.models import ExportBatch


class LinkAdmin(ReadOnlyAdmin):
    """Links without the token's hash, so that no link can be reconstructed."""

    exclude = ("token_sha256",)


for _model in (
    Approval,
    AuditEntry,
    BookSnapshot,
    Customer,
    Document,
    Inquiry,
    ExportBatch,
    Invoice,
    Message,
    NumberSeries,
    Order,
    Payment,
    Quote,
):
    admin.site.register(_model, ReadOnlyAdmin)
admin.site.register(Link, LinkAdmin)
