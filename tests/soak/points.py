"""The crash points: where in the service a process is killed, and what is asked of the service to get there."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Point:
    """A function at whose beginning or end a process kills itself.

    ``part`` is the part of the service that dies: web, outbox (the loop, its lanes, Celery's workers) or export.
    ``deed`` leads there. ``doubles`` says that a mail may arrive twice: it had left when the process died.
    """

    name: str
    part: str
    function: str
    before: bool
    deed: str
    doubles: bool = False
    only: str = ""


POINTS: Final = (
    Point("number given, not committed", "web", "orders.invoices.services.number_next", False, "issue"),
    Point("approved, order not made", "web", "orders.approvals.services.order_from_quote", True, "approve"),
    Point("approval complete, not committed", "web", "orders.approvals.services.quote_mail_ask", False, "approve"),
    Point("approval committed, not answered", "web", "orders.approvals.views.quote_approve", False, "approve"),
    Point(
        "committed, broker not told", "web", "catalog.outbox.services.broker_wake", True, "approve", only="postgresql"
    ),
    Point("row claimed, not given to its lane", "outbox", "catalog.outbox.services.outbox_claim", False, "approve"),
    Point("row given, not begun", "outbox", "catalog.outbox.services.outbox_work", True, "approve"),
    Point("row done, not answered", "outbox", "catalog.outbox.services.outbox_work", False, "approve"),
    Point("PDF made, not stored", "outbox", "orders.documents.store.pdf_of", False, "approve"),
    Point(
        "PDF stored, its mail not requested", "outbox", "orders.approvals.files.quote_mail_ask_once", True, "approve"
    ),
    Point("PDF and request committed", "outbox", "orders.documents.store._stored", False, "approve"),
    Point("in the dialogue with the mail server", "outbox", "smtplib.SMTP.data", True, "approve"),
    Point("mail accepted, row not done", "outbox", "django.core.mail.EmailMessage.send", False, "approve", True),
    Point("mail recorded, row not done", "outbox", "orders.mail.services.audit", False, "approve", True),
    Point("price list read, not compared", "outbox", "catalog.price_lists.services.rows_read", False, "price list"),
    Point("export made, its files not requested", "export", "orders.register.services._months_add", True, "export"),
    Point("export complete, not committed", "export", "orders.register.services.outbox_add", False, "export"),
    Point("export half written", "outbox", "orders.register.services.csv_pieces", True, "export"),
    Point("export stored, not committed", "outbox", "orders.register.services.file_add", False, "export"),
)
