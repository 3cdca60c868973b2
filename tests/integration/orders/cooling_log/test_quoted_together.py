"""What a quote breaks only together with promised orders is said before it is sent, and its reason counts later."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.recipes.models import RecipeStep
from orders.approvals.links import link_create
from orders.approvals.presenters import stopped_sentences
from orders.approvals.quote_page import quote_page
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.cooling_log.common_batches import together_unanswered
from orders.cooling_log.reasons import REASON_GIVEN
from orders.cooling_log.void_services import reasons_note
from orders.orders.models import Order
from orders.quotes.cooling.approvable import cannot_be_approved
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.selectors import Item, ruled_now
from orders.quotes.models import Quote
from orders.records.cooling_errors import BrokenTogether, BrokenWithThis, MeasureMissing
from orders.records.errors import KitchenMustCheck
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests.cooling_kitchen import measuring, measuring_submitted
from tests.factories import BY, NOW, draft_make, pdf_stored
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import YES, order_make
from tests.integration.orders.cooling_log.test_common_batches import REASON, custard, small_table
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen, shares_nothing
from tests.starting import order_start

pytestmark = pytest.mark.django_db
__all__ = ["custard"]


def drafted() -> Quote:
    quote = draft_make(**small_table())
    Quote.objects.filter(pk=quote.pk).update(override_reason="a test's price")
    return quote


def sent(together: Measuring | None = None) -> Quote:
    return pdf_stored(quote_send_seen(quote_id=drafted().pk, together=together, by=BY, at=NOW))


def unasked() -> Quote:
    """Sent before there was anything to share its batch with."""
    with shares_nothing():
        return sent()


def approved(quote: Quote, **facts: Measuring) -> Order:
    quote_record_approval(quote_id=quote.pk, name="Ida Fenwick", reason="by phone", by=BY, at=YES, **facts)
    return Order.objects.select_related("quote__inquiry").prefetch_related("lines__product").get(quote=quote)


def slower() -> None:
    """The custard leaves the heat hotter than when the reason was given: another cooling."""
    RecipeStep.objects.filter(kind="cook").update(leaves_c=Decimal(61))
    catalog_changed()


def test_the_review_names_the_batch_and_the_orders_and_offers_the_reason(custard: Item) -> None:
    order, owner = order_make(**small_table()), signed_in("owner")
    page = owner.get(reverse("quote-send", args=[drafted().pk]))
    assert f"Baked custard: not cold in time when made as one batch with {order.number}." in text(page)
    assert 'name="together-what"' in page.content.decode()


def test_a_quote_that_shares_nothing_is_asked_nothing(custard: Item) -> None:
    assert (
        'name="together-what"'
        not in signed_in("owner").get(reverse("quote-send", args=[drafted().pk])).content.decode()
    )


def test_the_reason_given_at_sending_counts_at_the_approval(custard: Item) -> None:
    order_make(**small_table())
    order = approved(sent(measuring()))
    assert together_unanswered(order) == ()
    order_start(order_id=order.pk, by=BY, at=YES)
    page = text(signed_in("owner").get(reverse("order", args=[order.pk])))
    assert REASON in page


def test_a_dot_is_no_reason(custard: Item) -> None:
    order_make(**small_table())
    with refused(MeasureMissing, match="Choose what is measured instead"):
        sent(measuring(what="other"))


def test_it_does_not_count_once_the_steps_changed_and_every_page_says_so(custard: Item) -> None:
    order_make(**small_table())
    quote, owner = sent(measuring()), signed_in("owner")
    slower()
    words = f"The reason “{REASON}”"
    for address in ("quote", "quote-record-approval"):
        page = text(owner.get(reverse(address, args=[quote.pk])))
        assert words in page
        assert "no longer counts: its steps or its cooling changed." in page
    with refused(BrokenTogether, match="not cold in time as one batch"):
        approved(quote)


def test_an_orders_reason_counts_no_more_once_the_steps_changed_and_its_history_says_so(custard: Item) -> None:
    first, owner = order_make(**small_table()), signed_in("owner")
    second = approved(unasked(), together=measuring())
    assert together_unanswered(second) == ()
    assert reasons_note(at=YES) == 0
    slower()
    assert [mark.void.by for mark in together_unanswered(second) if mark.void] == ["steps"]
    assert reasons_note(at=YES) == 1
    assert reasons_note(at=YES) == 0
    page = text(owner.get(reverse("order", args=[second.pk])))
    assert "reason about cooling no longer counts" in page.lower()
    assert page.count("no longer counts: its steps or its cooling changed.") >= 2
    with refused(BrokenTogether, match="not cold in time as one batch"):
        order_start(order_id=first.pk, by=BY, at=YES)


def test_a_third_order_puts_it_out_of_force_by_name(custard: Item) -> None:
    order_make(**small_table())
    second = approved(unasked(), together=measuring())
    order_make(**small_table())
    reasons_note(at=YES)
    (entry,) = AuditEntry.objects.filter(document="order", document_pk=second.pk, event="reason_void")
    (item,) = entry.params["items"]
    assert (item["cause"], item["numbers"]) == ("orders", ["O-00001", "O-00002"])
    page = text(signed_in("owner").get(reverse("order", args=[second.pk])))
    assert "was for one batch for O-00001 and O-00002 and no longer counts" in page


class TestStopped:
    """What breaks the rule only together stops like what breaks it alone: at the sending and at the approval."""

    def test_nothing_goes_out_without_what_is_measured_and_the_refusal_names_the_orders(self, custard: Item) -> None:
        order = order_make(**small_table())
        with refused(BrokenWithThis, match=f"not cold in time as one batch with {order.number}"):
            sent()
        quote = drafted()
        page = signed_in("owner").post(reverse("quote-send", args=[quote.pk]), {"allergies": "on", "not_asked": "on"})
        assert 'id="id_together-what"' in page.content.decode()
        assert "Choose what is measured" in text(page)
        assert "(optional)" not in text(page)
        assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DRAFT

    def test_no_green_word_stands_beside_it(self, custard: Item) -> None:
        order_make(**small_table())
        page = signed_in("owner").get(reverse("quote-send", args=[drafted().pk])).content.decode()
        assert "badge ok" not in page

    def test_an_order_that_came_after_the_sending_stops_the_customer_until_the_owner_recorded_it(
        self, custard: Item
    ) -> None:
        quote = sent()
        order = order_make(**small_table())
        with refused(KitchenMustCheck, match="the kitchen first has to settle"):
            by_customer(quote)
        assert cannot_be_approved([quote]) == {quote.pk}
        owner, address = signed_in("owner"), reverse("quote-cooling", args=[quote.pk])
        page = owner.get(address)
        assert f"not cold in time when made as one batch with {order.number}" in text(page)
        assert "Nothing on this quote breaks" not in text(page)
        answer = owner.post(address, measuring_submitted("together") | {"version": page.context["edit"].version})
        assert answer.status_code == 302
        assert cannot_be_approved([quote]) == frozenset()
        by_customer(quote)
        assert together_unanswered(order_of(quote)) == ()

    def test_the_page_of_cooling_takes_no_empty_answer(self, custard: Item) -> None:
        quote = sent()
        order_make(**small_table())
        owner, address = signed_in("owner"), reverse("quote-cooling", args=[quote.pk])
        page = owner.post(address, {"version": owner.get(address).context["edit"].version})
        assert "Choose what is measured" in text(page)
        assert not AuditEntry.objects.filter(document="quote", event=REASON_GIVEN).exists()

    def test_what_was_recorded_counts_no_more_once_another_order_joins(self, custard: Item) -> None:
        order_make(**small_table())
        quote = sent(measuring())
        assert cannot_be_approved([quote]) == frozenset()
        order_make(**small_table())
        with refused(KitchenMustCheck, match="the kitchen first has to settle"):
            by_customer(quote)
        link_create(quote_id=quote.pk, at=NOW)
        page = quote_page(quote_id=quote.pk, link_ids=quote.links.values_list("pk", flat=True), at=NOW)
        assert page is not None
        (words,) = stopped_sentences(page, ruled_now(quote))
        assert "as one batch with O-00001 and O-00002" in words


def by_customer(quote: Quote) -> None:
    digest, evidence = quote.content_sha256, ApprovalEvidence()
    quote_approve(quote_id=quote.pk, content_sha256=digest, name="Ida Fenwick", evidence=evidence, at=YES)


def order_of(quote: Quote) -> Order:
    return Order.objects.select_related("quote__inquiry").prefetch_related("lines__product").get(quote=quote)
