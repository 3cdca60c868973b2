"""Where mail stands, in words, on the pages of a quote and of its order; and a link to copy where none is mailed."""

import re
from datetime import timedelta

import pytest
from django.conf import LazySettings
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add, outbox_run
from orders.approvals.links import link_create
from orders.approvals.models import Link
from orders.approvals.presenters import link_address
from orders.approvals.selectors import token_hash
from orders.inquiries.models import Customer
from orders.invoices.services import invoice_draft
from orders.mail.presenters import mails_shown
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from tests.factories import BY, NOW, sent_make
from tests.integration.orders.builders import LATER, order_make
from tests.sending import own_read

pytestmark = pytest.mark.django_db
TO_FILES = "django.core.mail.backends.filebased.EmailBackend"


def text_of(response: HttpResponse) -> str:
    return response.content.decode()


def states(quote: Quote) -> list[str]:
    return [one.state for one in mails_shown(Outbox.objects.filter(about=f"quote:{quote.pk}", kind="mail"))]


def done(quote: Quote) -> Outbox:
    row = Outbox.objects.filter(about=f"quote:{quote.pk}", kind="mail").latest("pk")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    return row


def test_a_mail_is_waiting_and_then_taken_by_the_mail_server(owner: Client) -> None:
    quote = sent_make()
    assert states(quote) == ["Waiting to be sent."]
    done(quote)
    (state,) = states(quote)
    assert state.startswith("Taken by the mail server, ")
    assert re.search(r"\d:\d\d [AP]M", state)
    page = owner.get(reverse("quote", args=[quote.pk])).content.decode()
    assert state.partition(" 2027, ")[0] in page


def test_without_a_mail_server_nothing_reads_as_mailed(owner: Client, settings: LazySettings, tmp_path: object) -> None:
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = TO_FILES, str(tmp_path)
    quote = sent_make()
    done(quote)
    (state,) = states(quote)
    assert state.startswith("Written, not sent, as no mail server is set up, ")
    page = owner.get(reverse("quote", args=[quote.pk])).content.decode()
    assert "E-mail is written to a file, not sent: no mail server is set up. Copy a link and send it yourself." in page
    assert "Taken by the mail server" not in page
    assert "Ready since " in page
    assert ">Sent " not in page, "its head does not say sent either"
    assert "Sent Monday" not in page


def test_a_mail_that_was_no_longer_needed_does_not_read_as_sent(owner: Client) -> None:
    quote = sent_make(allergies=())
    quote_withdraw(quote_id=quote.pk, reason="The hall is closed", by=BY, at=NOW)
    row = Outbox.objects.filter(about=f"quote:{quote.pk}", kind="mail").earliest("pk")
    assert outbox_run(row_id=row.pk, at=row.run_after + timedelta(minutes=1))
    assert states(quote)[0].startswith("Not sent, as it was no longer needed, ")


def test_a_customer_without_an_address_is_said_to_have_none(owner: Client) -> None:
    order = order_make()
    quote = sent_make()
    Customer.objects.update(email="")
    name = quote.inquiry.customer.name
    words = f"No e-mail address is entered for {name}. Copy a link and send it yourself."
    assert words in owner.get(reverse("quote", args=[quote.pk])).content.decode()
    name = Customer.objects.get(pk=order.customer_id).name
    assert f"No e-mail address is entered for {name}." in owner.get(reverse("order", args=[order.pk])).content.decode()


def test_a_link_to_copy_is_shown_once_and_opens_the_quote(owner: Client, client: Client) -> None:
    quote = sent_make()
    page = owner.post(reverse("quote-link-new", args=[quote.pk])).content.decode()
    found = re.search(r'value="[^"]*(/q/([A-Za-z0-9_-]{43})/)"', page)
    assert found
    assert "Copy link" in page
    assert Link.objects.get(token_sha256=token_hash(found[2])).quote_id == quote.pk
    assert Client().get(found[1]).status_code == 302
    assert found[2] not in owner.get(reverse("quote", args=[quote.pk])).content.decode()


def test_no_link_is_made_before_the_pdf_is_there(owner: Client) -> None:
    quote = sent_make(pdf=False)
    answer = owner.post(reverse("quote-link-new", args=[quote.pk]))
    assert answer["Location"] == reverse("quote", args=[quote.pk])
    assert not Link.objects.exists()


def test_a_mail_about_the_order_is_shown_on_its_page(owner: Client) -> None:
    order = order_make()
    quote_mail_ask("link_again", order.quote, at=NOW)
    page = owner.get(reverse("order", args=[order.pk])).content.decode()
    assert "Waiting to be sent." in page


def test_without_a_mail_server_every_page_says_written_and_not_sent(
    owner: Client, settings: LazySettings, tmp_path: object
) -> None:
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = TO_FILES, str(tmp_path)
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    issued = text_of(owner.post(reverse("invoice-issue", args=[draft.pk]), {"mail": "on"}, follow=True))
    assert "The e-mail is written, not sent: no mail server is set up. Download the PDF" in issued
    reply = {"text": "We can do that.", "read": own_read(order.quote, "We can do that.")}
    replied = text_of(owner.post(reverse("quote-reply", args=[order.quote_id]), reply, follow=True))
    assert "Your reply is written, not sent" in replied
    done(order.quote)
    listed = text_of(owner.get(reverse("mail")))
    assert "<h1>E-mails</h1>" in listed
    assert "Written, not sent, as no mail server is set up, " in listed
    assert "Done " not in listed
    client = Client()
    client.get(link_address(link_create(quote_id=order.quote_id, at=LATER)), follow=True)
    approved = text_of(client.get(reverse("quote-page", args=[order.quote_id])))
    assert "Approved: " in approved
    assert "We e-mail" not in approved
    assert "in your e-mail" not in approved


def test_with_a_mail_server_an_invoice_and_what_was_approved_go_by_mail(owner: Client) -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    issued = text_of(owner.post(reverse("invoice-issue", args=[draft.pk]), {"mail": "on"}, follow=True))
    assert "It will be e-mailed to the customer." in issued


def test_a_check_of_a_time_is_no_mail(owner: Client) -> None:
    quote = sent_make()
    outbox_add(kind="window_check", payload={}, about=f"quote:{quote.pk}", summary=quote.number, at=NOW)
    page = text_of(owner.get(reverse("quote", args=[quote.pk])))
    assert "against the other orders" not in page
    assert "E-mails and PDF" in page
