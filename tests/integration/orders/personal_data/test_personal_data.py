"""A person's data is exported whole, and erased but for what issued documents and the books keep."""

import io
import json
import zipfile
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, models, transaction
from django.test import Client

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_sweep
from orders.approvals.links import link_create, link_opened
from orders.approvals.models import Approval, Link, Message
from orders.approvals.selectors import link_of
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_ask_change, quote_decline
from orders.documents.content import canonical, content_read, sha256_of
from orders.documents.erasing import content_erased
from orders.documents.models import Document, PreparedFile, PreparedPart, StoredBytes
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import Invoice, Payment
from orders.orders.models import Order
from orders.orders.services import order_close, order_deliver
from orders.personal_data import services
from orders.personal_data.export_content import subject_sections
from orders.personal_data.file_services import subject_file_ask, subject_file_write
from orders.personal_data.selectors import DataSubject, still_open, subject_of
from orders.personal_data.services import subject_erase
from orders.quotes.draft.services import Terms, draft_start, draft_terms
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.closed_errors import QuoteErased
from orders.records.errors import StillOpen
from orders.records.models import AuditEntry
from orders.records.row_rules import ERASED
from orders.records.transitions import audit
from tests import factories
from tests.databases import is_locked
from tests.factories import BY, EVENT, NOW
from tests.integration.orders.builders import LATER, YES, invoice_make, order_make, pay
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db(transaction=True)
TERMS = Terms(valid_until=EVENT - timedelta(days=1), deposit_share=Decimal("0.3"), deposit_days=7, balance_days=7)
MUCH_LATER = EVENT + timedelta(days=40)
PERSON: dict[str, Any] = {
    "name": "Zephyrine Okonkwo",
    "email": "zephyrine@quillfeather.example",
    "phone": "555 7391",
    "address": "9 Lantern Row",
    "note": "prefers marzipan",
}
MARKS = ("Zephyrine", "quillfeather", "7391", "Lantern", "marzipan", "dandelion", "192.0.2.55", "Mozilla")


@pytest.fixture
def customer() -> Customer:
    """A customer with a delivered, paid and closed order, a declined quote and an inquiry without a quote."""
    factories.kitchen_make()
    subject = factories.customer_data(**PERSON)
    words = {"title": "Zephyrine's feast", "note": "dandelion", "allergy_note": "marzipan"}
    approved = factories.sent_make(customer=subject, **words)
    quote_approve(
        quote_id=approved.pk,
        content_sha256=approved.content_sha256,
        name=PERSON["name"],
        evidence=ApprovalEvidence(ip="192.0.2.55", user_agent="Mozilla/5.0"),
        at=YES,
    )
    order = Order.objects.get()
    declined = factories.sent_make(at=NOW + timedelta(days=3), customer=subject, title="A second feast of Zephyrine")
    phone = ApprovalEvidence(ip="192.0.2.55", user_agent="Mozilla/5.0")
    quote_ask_change(quote_id=declined.pk, text="less marzipan", evidence=phone, at=NOW + timedelta(days=3))
    quote_decline(quote_id=declined.pk, reason="dandelion is out", evidence=phone, at=NOW + timedelta(days=4))
    factories.inquiry_make(customer=subject, title="Only asked, by Zephyrine", at=NOW + timedelta(days=5))
    invoice = invoice_make(order, at=LATER, mail=True)
    pay(order, invoice.due_minor, note="thanks, dandelion", at=LATER)
    order_deliver(order_id=order.pk, by=BY, at=EVENT + timedelta(hours=1))
    order_close(order_id=order.pk, by=BY, at=EVENT + timedelta(days=2))
    outbox_sweep(at=MUCH_LATER)
    return Customer.objects.get(email=PERSON["email"])


def stored_text() -> str:
    """Return every text of the database, but the contents and files of issued documents."""
    documents = {("quote", "content"), ("invoice", "buyer"), ("paymentpaper", "content")}
    bare = (models.BinaryField, models.ForeignKey)
    found = []
    for model in [*apps.get_app_config("orders").get_models(), *apps.get_app_config("catalog").get_models()]:
        names = [
            field.name
            for field in model._meta.concrete_fields
            if not isinstance(field, bare) and (model._meta.model_name, field.name) not in documents
        ]
        found += [f"{model.__name__} {row}" for row in model._default_manager.values_list(*names)]
    return "\n".join(found)


def test_everything_about_a_person_is_exported_to_read_and_for_a_program(customer: Customer, client: Client) -> None:
    client.force_login(factories.user_make())
    asked = client.post(f"/inquiries/customers/{customer.pk}/personal-data/export/")
    assert not PreparedPart.objects.exists(), "the request writes no file"
    waiting = client.get(asked.url)  # type: ignore[attr-defined]  # a redirect has it
    assert waiting.status_code == 202
    assert "ZIP file of the personal data of Zephyrine" in waiting.content.decode()
    outbox_sweep(at=MUCH_LATER)
    answer = client.get(asked.url)  # type: ignore[attr-defined]  # a redirect has it
    assert answer["Content-Type"] == "application/zip"
    assert "Zephyrine" not in answer["Content-Disposition"]
    archive = zipfile.ZipFile(io.BytesIO(answer.getvalue()))
    data = json.loads(archive.read("personal-data.json"))
    assert data["Customer"][0]["Name"] == PERSON["name"]
    assert data["Customer"][0]["E-mail"] == PERSON["email"]
    assert [row["Status"] for row in data["Quotes"]] == ["approved", "declined", "draft"]
    assert data["Quotes"][0]["Content"]["customer"]["email"] == PERSON["email"]
    assert [row["Text"] for row in data["Messages"]] == ["less marzipan", "dandelion is out"]
    assert {"Created at", "Expires at"} <= data["Private links"][0].keys()
    assert not [name for rows in data.values() for row in rows for name in row if "oken" in name]
    page = archive.read("personal-data.html").decode()
    assert [mark for mark in MARKS if mark not in page] == []
    pdfs = [name for name in archive.namelist() if name.startswith("files/")]
    assert len(pdfs) >= 3
    assert all(archive.read(name).startswith(b"%PDF") for name in pdfs)
    assert AuditEntry.objects.filter(document="customer", event="export_data", by=BY).count() == 1


def test_erasing_a_person_takes_the_exports_of_their_data_along(customer: Customer) -> None:
    written, waiting = (subject_file_ask(customer_id=customer.pk, by=BY, at=MUCH_LATER) for _ in range(2))
    subject_file_write(row=Outbox.objects.get(about=f"file:{written.pk}"), at=MUCH_LATER)
    assert PreparedPart.objects.filter(file=written).exists()
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    subject_file_write(row=Outbox.objects.get(about=f"file:{waiting.pk}"), at=MUCH_LATER)
    assert not PreparedFile.objects.exists()
    assert not PreparedPart.objects.exists()


def test_a_table_that_leads_to_a_customer_is_exported(customer: Customer) -> None:
    sections = {section.heading for section in subject_sections(subject_of(customer.pk)) if section.rows}
    assert len(sections) >= 11
    leads = {Customer}
    for _ in range(5):
        leads |= {
            model
            for model in apps.get_app_config("orders").get_models()
            for field in model._meta.concrete_fields
            if isinstance(field, models.ForeignKey) and field.related_model in leads
        }
    names = {model.__name__ for model in leads}
    exported = {"Customer", "Inquiry", "Quote", "Message", "Link", "Approval"}
    exported |= {"Order", "OrderLine", "Invoice", "Payment", "PaymentPaper", "ScheduledPayment"}
    exported |= {"ThingsOut"}
    inside_documents = {"QuoteLine", "QuoteExtra", "InvoiceLine", "InvoicePart", "InvoiceTax", "ExportItem"}
    added_up_from_them = {"OrderAccount"}
    of_the_kitchens_work = {"CoolingOverride", "CoolingRecord", "WindowCheck"}
    assert names == exported | inside_documents | added_up_from_them | of_the_kitchens_work


def test_erasing_leaves_the_persons_words_in_what_the_books_keep_alone(customer: Customer) -> None:
    approved = Quote.objects.filter(status="approved")
    quotes = {quote.pk: (quote.content, quote.content_sha256) for quote in approved}
    buyers = list(Invoice.objects.values_list("number", "buyer", "content_sha256"))
    before = stored_text()
    assert [mark for mark in MARKS[:6] if mark not in before] == []
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    after = stored_text().splitlines()
    left = [line for line in after for mark in MARKS[1:] if mark in line]
    assert left == []
    assert {line.partition(" ")[0] for line in after if "Zephyrine" in line} == {"Customer", "Approval"}
    assert {quote.pk: (quote.content, quote.content_sha256) for quote in approved.all()} == quotes
    assert [sha256_of(content) for content, _ in quotes.values()] == [found for _, found in quotes.values()]
    assert list(Invoice.objects.values_list("number", "buyer", "content_sha256")) == buyers


def test_a_quote_that_came_to_nothing_keeps_its_figures_and_no_person(customer: Customer) -> None:
    declined = Quote.objects.get(status="declined")
    before, file = content_read(declined.content), declined.pdf
    assert file is not None
    link = link_of(link_create(quote_id=declined.pk, at=NOW + timedelta(days=3)))
    assert link is not None
    link_opened(link_id=link.pk, at=NOW + timedelta(days=3))
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    declined.refresh_from_db()
    after = content_read(declined.content)
    assert [mark for mark in MARKS if mark in f"{declined.content} {declined.brief} {declined.estimate}"] == []
    assert after.adds_up()
    assert (after.lines, after.total_minor, after.sent_at) == (before.lines, before.total_minor, before.sent_at)
    assert declined.content_sha256 == sha256_of(declined.content)
    assert canonical(after) == declined.content
    assert declined.pdf is None
    assert not Document.objects.filter(pk=file.pk).exists()
    assert not StoredBytes.objects.filter(pk=file.pk).exists()
    assert not Link.objects.exclude(first_opened_at=None).exists()
    # What an approval, an invoice and a receipt name stays.
    assert Document.objects.count() == StoredBytes.objects.count() == 4


@pytest.mark.parametrize("status", ["sent", "approved", "withdrawn"])
def test_the_database_refuses_to_erase_a_quote_that_is_open_or_became_an_order(status: str) -> None:
    factories.kitchen_make()
    quote = factories.approved_make() if status == "approved" else factories.sent_make()
    if status == "withdrawn":
        revision = quote_revise(quote_id=quote.pk, by=BY, at=NOW)
        revision = quote_send_seen(quote_id=revision.pk, by=BY, at=NOW)
        outbox_sweep(at=NOW)
        revision.refresh_from_db()
        evidence = ApprovalEvidence()
        quote_approve(
            quote_id=revision.pk, content_sha256=revision.content_sha256, name="Ida", evidence=evidence, at=NOW
        )  # fmt: skip
    quote.refresh_from_db()
    assert quote.status == status
    audit(quote, "erase", by=BY, at=NOW)
    text = content_erased(quote.content, Quote.ROWS.erased_inside["content"])
    for change in ({"content": text, "content_sha256": sha256_of(text)}, {"pdf": None}, {"note": ERASED}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Quote.objects.filter(pk=quote.pk).update(**change)


def test_of_a_quote_that_came_to_nothing_nothing_but_the_person_can_be_taken() -> None:
    factories.kitchen_make()
    quote = factories.sent_make()
    quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=NOW)
    quote.refresh_from_db()
    text = content_erased(quote.content, Quote.ROWS.erased_inside["content"])
    erased = {"content": text, "content_sha256": sha256_of(text)}
    with pytest.raises(DatabaseError), transaction.atomic():
        Quote.objects.filter(pk=quote.pk).update(**erased)
    with pytest.raises(DatabaseError), transaction.atomic():
        StoredBytes.objects.all().delete()
    audit(quote, "erase", by=BY, at=NOW)
    cheaper = canonical(replace(content_read(text), total_minor=1))
    for change in ({"content": cheaper}, {"content": ""}, {"content_sha256": "0" * 64}, {"total_minor": 1}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Quote.objects.filter(pk=quote.pk).update(**change)
    Quote.objects.filter(pk=quote.pk).update(**erased)


def test_the_page_of_an_erased_quote_says_so_and_makes_no_pdf_again(customer: Customer, client: Client) -> None:
    client.force_login(factories.user_make())
    declined = Quote.objects.get(status="declined")
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    page = client.get(f"/quotes/{declined.pk}/").content.decode()
    assert "personal data was erased from this quote" in page
    assert "/pdf/" not in page
    assert "Create revision" not in page
    assert f"/quotes/{declined.pk}/reply/" not in page
    assert client.get(f"/quotes/{declined.pk}/pdf/").status_code == 404
    assert not Outbox.objects.filter(kind="quote_pdf", status="waiting").exists()
    inquiry_page = client.get(f"/inquiries/{declined.inquiry_id}/").content.decode()
    assert "personal data was erased from this inquiry" in inquiry_page
    assert "make a revision" not in inquiry_page


def test_nothing_is_made_from_an_erased_quote(customer: Customer, client: Client) -> None:
    client.force_login(factories.user_make())
    declined = Quote.objects.get(status="declined")
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    with refused(QuoteErased, match="Create a new inquiry instead"):
        quote_revise(quote_id=declined.pk, by=BY, at=MUCH_LATER)
    answer = client.post(f"/quotes/{declined.pk}/revise/")
    assert answer.status_code == 422
    assert not Quote.objects.filter(status="draft").exists()


def test_erasing_takes_each_kind_as_the_page_says(customer: Customer) -> None:
    approval = Approval.objects.get()
    token = link_create(quote_id=approval.quote_id, at=MUCH_LATER)
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    row = Customer.objects.get(pk=customer.pk)
    assert (row.name, row.email, row.phone, row.address, row.note) == (PERSON["name"], "", "", "", "")
    assert Inquiry.objects.filter(customer=row).count() == 2
    assert set(Inquiry.objects.values_list("title", "place", "note")) == {(ERASED, "", "")}
    assert set(Message.objects.values_list("text", flat=True)) == {ERASED}
    assert Order.objects.get().title == ERASED
    assert Payment.objects.get().note == ERASED
    assert not Outbox.objects.filter(about__startswith="quote:").exists()
    assert not Link.objects.filter(revoked_at=None).exists()
    link = link_of(token)
    assert link is not None
    assert link.revoked_at == MUCH_LATER
    entry = AuditEntry.objects.filter(document="customer", event="erase").get()
    assert (entry.by, entry.at, entry.note, entry.params) == (BY, MUCH_LATER, "", {})
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)


def test_the_kitchens_pages_still_open_after_erasing(customer: Customer, client: Client) -> None:
    client.force_login(factories.user_make())
    subject_erase(customer_id=customer.pk, by=BY, at=MUCH_LATER)
    order, invoice = Order.objects.get(), Invoice.objects.get()
    paths = [f"/orders/{order.pk}/", f"/money/invoices/{invoice.pk}/", "/money/", "/orders/", "/", "/mail/"]
    paths += [f"/quotes/{quote.pk}/" for quote in Quote.objects.all()]
    paths += [f"/inquiries/customers/{customer.pk}/", f"/inquiries/customers/{customer.pk}/personal-data/"]
    assert [(path, client.get(path).status_code) for path in paths if client.get(path).status_code != 200] == []


def test_somebody_of_whom_nothing_was_sent_goes_altogether() -> None:
    factories.kitchen_make()
    inquiry = factories.draft_make(customer=factories.customer_data(**PERSON)).inquiry
    subject_erase(customer_id=inquiry.customer_id, by=BY, at=NOW)
    assert not Customer.objects.exists()
    assert not Inquiry.objects.exists()
    assert not Quote.objects.exists()
    assert [mark for mark in MARKS if mark in stored_text()] == []


def test_a_draft_beside_a_quote_that_came_to_nothing_is_deleted() -> None:
    factories.kitchen_make()
    quote = factories.sent_make(customer=factories.customer_data(**PERSON))
    quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=NOW)
    draft = draft_start(inquiry_id=quote.inquiry_id, by=BY, at=NOW)
    draft_terms(quote_id=draft.pk, terms=replace(TERMS, note="less marzipan, Zephyrine"), by=BY, at=NOW)
    Outbox.objects.update(status=Outbox.Status.DONE)
    subject_erase(customer_id=quote.inquiry.customer_id, by=BY, at=NOW)
    assert [row.pk for row in Quote.objects.all()] == [quote.pk]
    assert [mark for mark in MARKS if mark in stored_text()] == []


@pytest.mark.postgres
def test_nobody_sends_a_quote_while_it_is_looked_whether_one_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    factories.kitchen_make()
    inquiry = factories.draft_make(customer=factories.customer_data(**PERSON)).inquiry
    answers: list[bool] = []

    def look(subject: DataSubject) -> list[str]:
        answers.append(is_locked("orders_quote"))
        return still_open(subject)

    monkeypatch.setattr(services, "still_open", look)
    subject_erase(customer_id=inquiry.customer_id, by=BY, at=NOW)
    assert answers == [True]


@pytest.mark.parametrize("what", ["quote", "order", "money"])
def test_nothing_is_erased_while_something_is_open(what: str) -> None:
    factories.kitchen_make()
    subject = factories.customer_data(**PERSON)
    if what == "quote":
        number = factories.sent_make(customer=subject).number
    else:
        order = order_make(customer=subject)
        number = order.number
        if what == "money":
            pay(order, 1000)
            Order.objects.filter(pk=order.pk).update(status="canceled")
    outbox_sweep(at=NOW + timedelta(days=3))
    customer = Customer.objects.get(email=PERSON["email"])
    assert number in still_open(subject_of(customer.pk))
    with refused(StillOpen, rf"Not finished: {number}"):
        subject_erase(customer_id=customer.pk, by=BY, at=LATER)
    assert Customer.objects.get(pk=customer.pk).email == PERSON["email"]


def test_the_owner_reads_what_goes_and_what_stays_before_she_ticks_the_box(customer: Customer, client: Client) -> None:
    client.force_login(factories.user_make())
    address = f"/inquiries/customers/{customer.pk}/personal-data/"
    assert f'href="{address}"' in client.get(f"/inquiries/customers/{customer.pk}/").content.decode()
    page = client.get(address).content.decode()
    assert "Invoices, credit notes and receipts with the name and address on them" in page
    assert "The IP address and browser of each approval." in page
    refused_page = client.post(address, {})
    assert "Check the box" in refused_page.content.decode()
    assert Customer.objects.get().email
    assert client.post(address, {"sure": "on"}).status_code == 302
    assert not Customer.objects.get().email


def test_the_page_says_what_is_open_instead_of_offering_to_erase(client: Client) -> None:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    order = order_make(customer=factories.customer_data(**PERSON))
    page = client.get(f"/inquiries/customers/{order.customer_id}/personal-data/").content.decode()
    assert "Cannot be erased yet." in page
    assert order.number in page
    assert 'name="sure"' not in page


def test_the_command_exports_and_shows_what_it_would_erase_before_it_does(customer: Customer, tmp_path: Any) -> None:
    file = tmp_path / "person.zip"
    call_command("person", "export", str(customer.pk), str(file))
    assert zipfile.is_zipfile(file)
    assert file.stat().st_mode & 0o077 == 0
    out = io.StringIO()
    call_command("person", "erase", PERSON["email"], stdout=out)
    assert "This stays" in out.getvalue()
    assert Customer.objects.get(pk=customer.pk).email
    call_command("person", "erase", PERSON["email"], "--yes", stdout=out)
    assert not Customer.objects.get(pk=customer.pk).email
    with pytest.raises(CommandError, match="No customer"):
        call_command("person", "erase", PERSON["email"], "--yes")
