"""A kitchen for tests of its database: ``fill`` it; ``write`` in it until standard input ends; ``sign_in`` to it.

``write`` has two clerks: one sells and invoices, one issues numbers as fast as it can; both print a line a commit.
``export`` does the work that is waiting and makes an export with its files.
``damage`` spoils a quote, an invoice, a file and a file in parts.
``restore KEY FILE...`` tries to restore pairs of a key and a file, and prints a line for each.
"""

import io
import os
import signal
import sys

import django
from django.db import connections, transaction

django.setup()

from django.core.management import CommandError, call_command
from django.db.models import Value
from django.db.models.functions import Replace
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pictures.models import PictureFile
from catalog.pictures.reader import picture_made
from catalog.pictures.services import NewPicture
from catalog.products.models import Product
from catalog.products.picture_services import product_picture_save
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.documents.models import StoredBytes, StoredPart
from orders.documents.store import PART, file_add
from orders.invoices.models import InvoiceLine
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.numbers import number_next
from orders.register.services import export_make
from tests.factories import BY, NOW, PASSWORD, draft_make, kitchen_make, sent_make, user_make
from tests.integration.orders.builders import LATER, invoice_make, order_make, pay
from tests.pictures import drawn, file_of
from tests.rules_aside import rules_aside

CLERK = "a clerk"


def fill() -> None:
    """Make one of everything."""
    kitchen_make()
    user_make()
    _photographed("walnut-cake")
    quote = sent_make()
    quote_ask_change(quote_id=quote.pk, text="Fewer nuts?", evidence=ApprovalEvidence(), at=NOW)
    sell()
    draft_make()


def _photographed(code: str) -> None:
    new = NewPicture(picture_made("photo", file_of(drawn())), "", "A walnut cake")
    product = Product.objects.get(code=code).pk
    product_picture_save(product_id=product, new=new, drawing="", version="", by=BY, at=NOW)


def export() -> None:
    """Do what the outbox has waiting, hand the invoices to the bookkeeper, and write the files of that."""
    _do_what_waits()
    export_make(first_day=LATER.date(), last_day=LATER.date(), currency="USD", by=BY, at=LATER)
    _do_what_waits()


def _do_what_waits() -> None:
    waiting = Outbox.objects.filter(status=Outbox.Status.WAITING).order_by("pk")
    while row := waiting.first():
        if not outbox_run(row_id=row.pk, at=row.run_after):
            sys.exit(f"not done: {row}")


def sell() -> None:
    """Sell, invoice and get some of the money."""
    order = order_make()
    pay(order, 1234)
    invoice_make(order)


def write() -> None:
    """Write until nobody listens any more."""
    connections.close_all()
    pids = [_clerk(deed) for deed in (sell, count)]
    sys.stdin.read()
    for pid in pids:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)


def count() -> None:
    """Give a number and write down that it was given."""
    with transaction.atomic():
        note = number_next("credit")
        AuditEntry.objects.create(document="x", document_pk=0, event="x", by=CLERK, at=timezone.now(), note=note)


def _clerk(deed: object) -> int:
    pid = os.fork()
    if not pid:
        try:
            while True:
                deed()  # type: ignore[operator]  # one of the two above
                os.write(1, f"{deed.__name__}\n".encode())  # type: ignore[attr-defined]
        finally:
            os._exit(1)
    return pid


def sign_in() -> None:
    """Sign in as the owner and open the register; print where it led and what it says."""
    client = Client()
    answer = client.post(reverse("sign-in"), {"username": BY, "password": PASSWORD})
    page = client.get(reverse("money-register"))
    print(answer.status_code, page.status_code, "I-00001" in page.content.decode())  # noqa: T201 - read by the test


def damage() -> None:
    """Write past the rules: one word or byte each."""
    for name, body in (("whole.csv", b"a"), ("parts.csv", b"a" * (PART + 1))):
        file_add(io.BytesIO(body), file_name=name, media_type="text/csv", at=NOW)
    with rules_aside():
        Quote.objects.filter(number="Q-00001").update(content=Replace("content", Value("Ida"), Value("Eda")))
        InvoiceLine.objects.filter(invoice__number="I-00001").update(name="Another")
        StoredBytes.objects.filter(document__file_name="whole.csv").update(body=b"b")
        StoredPart.objects.filter(position=1).update(body=b"b")
        PictureFile.objects.filter(width=800).update(body=b"b")


def restore() -> None:
    """Try each pair in turn; a restore that is refused leaves the place as it was."""
    for key, file in zip(sys.argv[2::2], sys.argv[3::2], strict=True):
        os.environ["COLDSET_BACKUP_KEY"] = key
        try:
            call_command("restore", file)
        except CommandError as refused:
            print(refused)  # noqa: T201 - read by the test


if __name__ == "__main__":
    {"fill": fill, "write": write, "sign_in": sign_in, "restore": restore, "export": export, "damage": damage}[
        sys.argv[1]
    ]()
