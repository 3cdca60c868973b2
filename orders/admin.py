"""The documents' rows in the admin, to look at."""

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


class LookAtLinks(ReadOnlyAdmin):
    """Without the token's hash: nothing here helps to make a link."""

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
admin.site.register(Link, LookAtLinks)
