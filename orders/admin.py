"""The documents' rows in the admin, to look at."""

from django.contrib import admin

from catalog.admin_views import LookOnly
from orders.models import (
    Approval,
    AuditEntry,
    BookSnapshot,
    Customer,
    Document,
    Enquiry,
    ExportBatch,
    Invoice,
    Link,
    Message,
    NumberSeries,
    Order,
    Payment,
    Quote,
)


class LookAtDocuments(LookOnly):
    """Without the file's bytes."""

    exclude = ("body",)


class LookAtLinks(LookOnly):
    """Without the token's hash: nothing here helps to make a link."""

    exclude = ("token_sha256",)


for _model in (
    Approval,
    AuditEntry,
    BookSnapshot,
    Customer,
    Enquiry,
    ExportBatch,
    Invoice,
    Message,
    NumberSeries,
    Order,
    Payment,
    Quote,
):
    admin.site.register(_model, LookOnly)
admin.site.register(Document, LookAtDocuments)
admin.site.register(Link, LookAtLinks)
