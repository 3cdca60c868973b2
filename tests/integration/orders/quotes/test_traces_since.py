"""The kitchen's own sentence about traces after a quote was sent: what is written now says today's."""

from collections.abc import Iterator

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.approvals.errors import TracesChanged
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.documents.content import sha256_of
from orders.invoices.files import pdf_context
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.records.errors import KitchenMustTell
from tests.factories import BY, EVENT, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import invoice_make, order_make
from tests.integration.orders.private_link import entered
from tests.refusals import refused

pytestmark = pytest.mark.django_db
OLD = "Our guests have eaten these happily for years."
NEW = "Walnuts are toasted on the same trays."
SINCE = "About traces, we now say:"


@pytest.fixture(autouse=True)
def fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make(phone="555 0100", cross_contact=OLD)
    cache.clear()
    yield
    cache.clear()


def replaced() -> None:
    Kitchen.objects.update(cross_contact=NEW)
    catalog_changed()


def only_new(page: str) -> None:
    assert NEW in page
    assert OLD not in page


def test_the_pages_of_an_open_quote_say_todays_and_that_it_changed(client: Client) -> None:
    owner, quote = signed_in(), sent_make()
    entered(client, quote)
    replaced()
    for browser, address in (
        (client, f"/q/{quote.pk}/"),
        (client, f"/q/{quote.pk}/approve/"),
        (owner, reverse("quote", args=[quote.pk])),
    ):
        page = text(browser.get(address))
        only_new(page)
        assert SINCE in page
    stored = Quote.objects.get(pk=quote.pk)
    assert OLD in str(stored.content)
    assert sha256_of(stored.content) == stored.content_sha256


def test_where_guests_have_needs_nobody_approves_on_the_old_sentence(client: Client) -> None:
    quote = sent_make(allergies=("gluten",), need_counts={"gluten": 1})
    replaced()
    page = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert "this one cannot be approved as it is" in page
    with refused(KitchenMustTell, "Nothing was approved"):
        quote_approve(
            quote_id=quote.pk, name="Ida", evidence=ApprovalEvidence(), content_sha256=quote.content_sha256, at=NOW
        )
    with refused(TracesChanged, "What you say about traces changed"):
        quote_record_approval(quote_id=quote.pk, name="Ida", reason="by phone", by=BY, at=NOW)


def test_a_reply_says_todays() -> None:
    quote = sent_make()
    replaced()
    quote_mail_ask("reply", quote, at=NOW, words="Thank you.")
    row = Outbox.objects.get(payload__mail="reply")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    only_new(" ".join(str(mail.outbox[-1].body).split()))


def test_what_is_written_of_an_order_says_todays(client: Client) -> None:
    owner, order = signed_in(), order_make()
    replaced()
    sheet = text(owner.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))
    only_new(sheet)
    assert SINCE in sheet
    page = text(entered(client, order.quote).get(f"/q/{order.quote_id}/"))
    only_new(page)
    assert SINCE in page
    assert SINCE in text(owner.get(reverse("order", args=[order.pk])))
    invoice = invoice_make(order)
    assert OLD not in pdf_context(invoice)["cross_contact"]
    only_new(text(owner.get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")))


@pytest.mark.parametrize(
    ("words", "stops"),
    [
        ("our guests have eaten these, happily, for years", False),
        ("Our  guests have EATEN these happily \u2013 for years!", True),
        ("Our guests have eaten these unhappily for years.", True),
        ("Our guests have eaten these. Happily for years.", True),
        ("Our guests have eaten these happily for 2 years.", True),
    ],
)
def test_commas_and_capitals_stop_no_quote(words: str, *, stops: bool) -> None:
    quote = sent_make(allergies=("gluten",), need_counts={"gluten": 1})
    Kitchen.objects.update(cross_contact=words)
    catalog_changed()
    facts = {"quote_id": quote.pk, "name": "Ida", "reason": "by phone", "by": BY, "at": NOW}
    if stops:
        with refused(TracesChanged, "What you say about traces changed"):
            quote_record_approval(**facts)  # type: ignore[arg-type]
    else:
        quote_record_approval(**facts)  # type: ignore[arg-type]
