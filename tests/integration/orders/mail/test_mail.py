"""Mail: the same facts in text and HTML, one Message-ID a row, no token where it could leak, failures in words."""

import re
import smtplib
from collections.abc import Callable
from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from django.conf import settings
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from django.db import OperationalError
from django.test import Client
from django.utils.html import strip_tags
from django.utils.module_loading import import_string

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.presenters import work_problem
from catalog.outbox.services import ATTEMPTS, outbox_run, outbox_sweep
from catalog.taxes.models import TaxCategory
from orders.approvals.links import link_ask
from orders.approvals.messages import approval_held
from orders.approvals.models import Approval, Link
from orders.approvals.selectors import token_hash
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
    quote_decline,
    quote_reply,
)
from orders.inquiries.models import Customer
from orders.mail.addresses import can_be_written_to
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.models import Order
from orders.quotes.mails import QUOTE_MAILS, quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.presenters import quote_history
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.records.models import AuditEntry
from tests.factories import BY, NOW, kitchen_make, pdf_stored, sent_make, user_make
from tests.integration.orders.amending import agree, amend_send
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)
TOKEN = re.compile(r"/q/([A-Za-z0-9_-]{43})/")


@pytest.fixture(autouse=True)
def kitchen() -> Kitchen:
    return kitchen_make(
        payment_details="By transfer to Marrow Lane Bank, account 00012345.",
        cancellation_table=[{"days": 60, "share": "0.5"}],
    )


def row_of(kind: str) -> Outbox:
    return Outbox.objects.filter(payload__mail=kind).latest("pk")


def send(kind: str) -> EmailMultiAlternatives:
    """Run the outbox's mail work and return the mails sent."""
    row = row_of(kind)
    assert outbox_run(row_id=row.pk, at=row.run_after), Outbox.objects.get(pk=row.pk).error
    message = mail.outbox[-1]
    assert isinstance(message, EmailMultiAlternatives)
    return message


def html_of(message: EmailMultiAlternatives) -> str:
    ((content, kind),) = message.alternatives
    assert kind == "text/html"
    return str(content)


def approve(quote: Quote) -> None:
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        evidence=ApprovalEvidence(),
        at=LATER,
    )
    outbox_run(row_id=Outbox.objects.get(kind="approval_pdf").pk, at=LATER)


def _changed(quote: Quote) -> None:
    pdf_stored(quote_send_seen(quote_id=quote_revise(quote_id=quote.pk, by=BY, at=LATER).pk, by=BY, at=LATER))


def _change(quote: Quote) -> Quote:
    """Approve a quote, and send a change of its order."""
    approve(quote)
    order = Order.objects.get(quote=quote)
    line = order.lines.select_related("product")[0]
    return amend_send(order, {line.product.code: line.units + 12}, at=LATER)


def _change_approved(quote: Quote) -> None:
    sent = _change(quote)
    agree(sent, at=LATER)
    outbox_run(row_id=Outbox.objects.get(kind="approval_pdf", about=f"quote:{sent.pk}").pk, at=LATER)


def _cancel(quote: Quote) -> None:
    approve(quote)
    decision = Decision(by="customer", reason="Moved", tax_id=TaxCategory.objects.earliest("pk").pk)
    order_cancel_by_terms(order_id=Order.objects.get(quote=quote).pk, decision=decision, by=BY, at=LATER)


#: Kind of mail -> function that causes it.
DEEDS: dict[str, Callable[[Quote], object]] = {
    "quote_sent": lambda quote: None,
    "quote_changed": _changed,
    "quote_withdrawn": lambda quote: quote_withdraw(
        quote_id=quote.pk, reason="The oven broke.", read=own_read(quote, "The oven broke."), by=BY, at=LATER
    ),
    "approved": approve,
    "change_sent": _change,
    "change_approved": _change_approved,
    "kitchen_change_approved": _change_approved,
    "canceled": _cancel,
    "link_again": lambda quote: link_ask(quote_id=quote.pk, at=LATER),
    "reply": lambda quote: quote_reply(
        quote_id=quote.pk, text="Gladly: 10 more.", read=own_read(quote, "Gladly: 10 more."), by=BY, at=LATER
    ),
    "kitchen_approved": approve,
    "kitchen_declined": lambda quote: quote_decline(
        quote_id=quote.pk, reason="Too dear by 100", evidence=ApprovalEvidence(), at=LATER
    ),
    "declined": lambda quote: quote_decline(
        quote_id=quote.pk, reason="Too dear by 100", evidence=ApprovalEvidence(), at=LATER
    ),
    "change_received": lambda quote: quote_ask_change(
        quote_id=quote.pk, text="10 more <b>tarts</b> & 5 fewer", evidence=ApprovalEvidence(), at=LATER
    ),
    "kitchen_stopped": lambda quote: approval_held(
        quote_id=quote.pk, name="Ida", words="Ida", reasons=["Walnut sponge cake: now contains peanuts."], at=LATER
    ),
    "allergens_changed": lambda quote: (
        approve(quote),
        quote_mail_ask("allergens_changed", quote, at=LATER, words="Cake, 2 <b>tiers</b>: now contains peanuts."),
    ),
    "kitchen_no_time": lambda quote: quote_mail_ask(
        "kitchen_no_time", quote, at=LATER, words="Ring, 10 in: 4 needed, 0 free."
    ),
    "time_works": lambda quote: quote_mail_ask("time_works", quote, at=LATER),
    "time_not_found": lambda quote: quote_mail_ask("time_not_found", quote, at=LATER),
    "kitchen_change": lambda quote: quote_ask_change(
        quote_id=quote.pk, text="10 more <b>tarts</b> & 5 fewer", evidence=ApprovalEvidence(), at=LATER
    ),
    "kitchen_must_look": lambda quote: approval_held(
        quote_id=quote.pk, name="Ida", words="Ida wanted to approve, on 2 <b>phones</b>", reasons=(), at=LATER
    ),
}


def test_every_kind_of_mail_is_tried_here() -> None:
    assert set(DEEDS) == set(QUOTE_MAILS)


def _facts(text: str) -> set[str]:
    """Return every number, amount, time and token-free address in a text."""
    return set(re.findall(r"[$€£]?\d[\d.,:]*\d|\d", TOKEN.sub("", text)))


@pytest.mark.parametrize("kind", DEEDS)
def test_text_and_html_tell_the_same_facts(kind: str) -> None:
    DEEDS[kind](sent_make())
    message = send(kind)
    html = html_of(message)
    body = unescape(strip_tags(re.sub(r"<(style|title)>.*?</\1>", "", html, flags=re.S)))
    plain = str(message.body)
    assert _facts(body) == _facts(plain)
    assert "{" not in plain
    assert "\n\n\n\n" not in plain
    assert '<html lang="en-US">' in html


@pytest.mark.parametrize("kind", DEEDS)
def test_heads_are_fit_for_machines_and_answers_reach_a_person(kind: str) -> None:
    quote = sent_make()
    DEEDS[kind](quote)
    row = row_of(kind)
    message = send(kind).message()
    kitchen, customer = "kitchen@larkspurlane.example", "ida@fenwick.example"
    there, back = (kitchen, customer) if QUOTE_MAILS[kind].to_kitchen else (customer, kitchen)
    assert (message["To"], message["Reply-To"]) == (there, back)
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["Message-ID"] == f"<outbox-{row.message_key}@localhost>"
    assert message["References"] == f"<quote-{quote.number}@localhost>"
    assert message["From"].startswith("Larkspur Lane Desserts <")
    assert quote.number in message["Subject"] or "O-00001" in message["Subject"]
    assert not any(TOKEN.search(str(value)) for value in message.values())


def test_the_link_in_a_mail_is_fresh_works_and_lies_nowhere_else(client: Client) -> None:
    quote = sent_make()
    assert not Link.objects.exists()
    message = send("quote_sent")
    found = TOKEN.search(str(message.body))
    assert found
    token = found[1]
    assert Link.objects.get().token_sha256 == token_hash(token)
    assert token in html_of(message)
    assert f"\nhttp://localhost:8000/q/{token}/\n" in str(message.body), "on a line of its own"
    assert not any(token in str(row) for row in [*Outbox.objects.values(), *AuditEntry.objects.values()])
    assert client.get(f"/q/{token}/")["Location"] == f"/q/{quote.pk}/"


@pytest.mark.parametrize(
    ("wrote", "name", "words"),
    [
        ("We moved the table to the barn.", "Ida Fenwick", "We have not answered your message yet."),
        (None, "Ida Almond", "You wrote to us about an allergy or a diet, and we have not confirmed our answer yet."),
        (None, "Ida Fenwick", ""),
    ],
)
def test_the_mail_of_an_approval_says_what_is_not_answered(wrote: str | None, name: str, words: str) -> None:
    quote = sent_make(allergies=("milk",))
    if wrote:
        quote_ask_change(quote_id=quote.pk, text=wrote, evidence=ApprovalEvidence(), at=LATER)
    quote_approve(
        quote_id=quote.pk, content_sha256=quote.content_sha256, name=name, evidence=ApprovalEvidence(), at=LATER
    )
    outbox_run(row_id=Outbox.objects.get(kind="approval_pdf").pk, at=LATER)
    message = send("approved")
    for body in (str(message.body), html_of(message)):
        assert "milk" in body
        assert words in body
        assert ("that guest" in body) is bool(words)


def test_only_what_was_approved_is_attached() -> None:
    approve(sent_make())
    message = send("approved")
    ((name, body, kind),) = message.attachments
    assert (name, kind) == ("quote-Q-00001-revision-1-approved.pdf", "application/pdf")
    stored = Approval.objects.select_related("pdf").get().pdf
    assert stored is not None
    assert body == bytes(stored.body)
    assert not send("kitchen_approved").attachments
    for part in ("$587.63", "due by Thursday, January 14, 2027", "account 00012345", "O-00001", "$1,371.13"):
        assert part in str(message.body), part


def _refuse(monkeypatch: pytest.MonkeyPatch, code: int, words: bytes) -> None:
    def refuse(self: Any, messages: Any) -> int:
        raise smtplib.SMTPRecipientsRefused({"ida@fenwick.example": (code, words)})

    monkeypatch.setattr("django.core.mail.backends.locmem.EmailBackend.send_messages", refuse)


def test_a_recipient_refused_for_now_is_reported_in_words_retried_and_then_failed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _refuse(monkeypatch, 450, b"mailbox busy")
    sent_make()
    row = row_of("quote_sent")
    assert not outbox_run(row_id=row.pk, at=NOW)
    row.refresh_from_db()
    assert row.status == Outbox.Status.WAITING
    assert "The mail server accepts no mail for the recipient right now." in work_problem(row)
    for _ in range(ATTEMPTS):
        row.refresh_from_db()
        outbox_sweep(at=row.run_after)
    row.refresh_from_db()
    assert row.status == Outbox.Status.FAILED
    assert not AuditEntry.objects.filter(event="mail_sent").exists()


def test_a_recipient_refused_for_good_is_reported_at_once_and_goes_to_the_corrected_address_when_the_owner_asks(
    monkeypatch: pytest.MonkeyPatch, client: Client
) -> None:
    with monkeypatch.context() as server:
        _refuse(server, 550, b"no such user")
        quote = sent_make()
        row = row_of("quote_sent")
        assert not outbox_run(row_id=row.pk, at=NOW)
    row.refresh_from_db()
    assert (row.status, row.attempts) == (Outbox.Status.FAILED, 1)
    client.force_login(user_make())
    page = client.get("/mail/?show=failed").content.decode()
    assert "refused the recipient&#x27;s address for good. Correct the address, then try again." in page
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="ida@elsewhere.example")
    client.post(f"/mail/{row.pk}/again/")
    row.refresh_from_db()
    assert outbox_run(row_id=row.pk, at=row.run_after)
    assert mail.outbox[-1].to == ["ida@elsewhere.example"]


def test_a_mail_that_has_left_is_not_sent_again_because_there_is_no_room_to_write_it_down(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise OperationalError("database or disk is full")

    sent_make()
    monkeypatch.setattr("orders.mail.services.audit", full)
    send("quote_sent")
    assert row_of("quote_sent").status == Outbox.Status.DONE
    assert len(mail.outbox) == 1


def test_a_mail_tried_again_keeps_its_message_id_and_uses_the_corrected_address() -> None:
    quote = sent_make()
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="")
    row = row_of("quote_sent")
    assert not outbox_run(row_id=row.pk, at=NOW)
    row.refresh_from_db()
    assert "Ida Fenwick has no valid e-mail address" in work_problem(row)
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="ida@elsewhere.example")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    assert mail.outbox[-1].to == ["ida@elsewhere.example"]
    assert mail.outbox[-1].message()["Message-ID"] == f"<outbox-{row.message_key}@localhost>"
    history = quote_history(AuditEntry.objects.filter(event="mail_sent"))
    assert [(row.what, row.by, row.note) for row in history] == [
        ("e-mail sent", "Coldset (automatic)", "the quote, to ida@elsewhere.example")
    ]


@pytest.mark.parametrize("kind", ["quote_sent", "quote_changed"])
def test_a_quote_that_is_no_longer_open_is_not_mailed_late(kind: str) -> None:
    quote = sent_make()
    DEEDS[kind](quote)
    quote_withdraw(quote_id=Quote.objects.latest("pk").pk, by=BY, at=LATER)
    row = row_of(kind)
    assert outbox_run(row_id=row.pk, at=LATER)
    assert mail.outbox == []
    assert AuditEntry.objects.filter(event="mail_not_needed").count() == 1


def test_nothing_typed_becomes_a_head_or_markup() -> None:
    sent_make(title="Wedding\r\nBcc: eve@example.org <b>x</b>")
    Kitchen.objects.filter(pk=1).update(name="Larkspur\r\nBcc: eve@example.org")
    message = send("quote_sent")
    raw = message.message()
    assert raw["Bcc"] is None
    assert "\n" not in message.subject
    assert message.to == ["ida@fenwick.example"]
    assert "<b>x</b>" not in html_of(message)
    assert "&lt;b&gt;x&lt;/b&gt;" in html_of(message)


def test_every_mail_in_the_outbox_has_a_writer() -> None:
    mails = {kind for kind, handler in settings.OUTBOX_HANDLERS.items() if handler == "orders.mail.services.mail_send"}
    assert mails == set(settings.MAIL_WRITERS)
    assert all(callable(import_string(writer)) for writer in settings.MAIL_WRITERS.values())


@pytest.mark.parametrize(
    ("address", "fine"),
    [
        ("ida@fenwick.example", True),
        ("", False),
        ("ida", False),
        ("a@b.example, c@d.example", False),
        ("a@b.example\nBcc: c@d.example", False),
        ("Ida <a@b.example>", False),
    ],
)
def test_an_address_is_one_address(address: str, fine: bool) -> None:
    assert can_be_written_to(address) is fine


def test_the_owner_sees_what_went_out_what_did_not_and_tries_again(client: Client) -> None:
    quote = sent_make()
    send("quote_sent")
    quote_withdraw(quote_id=quote.pk, by=BY, at=LATER)
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="")
    row = row_of("quote_withdrawn")
    outbox_run(row_id=row.pk, at=LATER)
    Outbox.objects.filter(pk=row.pk).update(status=Outbox.Status.FAILED)
    client.force_login(user_make())

    page = client.get("/mail/").content.decode()
    assert "To Ida Fenwick: the quote, Q-00001 revision 1" in page
    assert "Ida Fenwick has no valid e-mail address." in page
    failed = client.get("/mail/?show=failed").content.decode()
    assert "the quote is withdrawn" in failed
    assert "To Ida Fenwick: the quote, Q-00001" not in failed

    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="ida@fenwick.example")
    assert client.post(f"/mail/{row.pk}/again/")["Location"] == "/mail/"
    outbox_run(row_id=row.pk, at=Outbox.objects.get(pk=row.pk).run_after)
    assert "is withdrawn" in mail.outbox[-1].subject
    assert "Nothing failed." in client.get("/mail/?show=failed").content.decode()
