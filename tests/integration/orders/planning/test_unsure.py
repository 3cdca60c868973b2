"""A table for which no place was found: one verdict on the sheet, and a tick before the quote is sent."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.rates.models import Station
from costing.plan.verdicts import AS_PLANNED, UNDECIDED
from orders.planning.answers import InTheWay, WindowAnswered
from orders.planning.models import WindowCheck
from orders.planning.selectors import check_key
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.records.models import AuditEntry
from orders.records.slot_errors import PlaceUnseen
from orders.records.states import QuoteStatus
from tests.factories import BY, EVENT, draft_make, line_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
SHORT = InTheWay("mold:Ring, 10 in", "product:walnut-cake/0", EVENT - timedelta(days=2), EVENT, 60, 30)


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    """Let the kitchen own rings, and state so much that its plan can say no."""
    Station.objects.filter(code="oven").update(places=4)
    catalog_changed()
    Mold.objects.create(name="Ring, 10 in", shape="round", diameter_cm="25", height_cm="6", owned=30)


def answered(verdict: str, *in_the_way: InTheWay) -> Quote:
    """Return a draft whose time was checked, with this answer."""
    quote = draft_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    found, at = quotes_with_rows().get(pk=quote.pk), timezone.now()
    answer = WindowAnswered(verdict, in_the_way).written()
    facts = {"key": check_key(found, at), "answer": answer, "asked_at": at, "answered_at": at}
    WindowCheck.objects.update_or_create(quote=quote, defaults=facts)
    return quote


@pytest.mark.parametrize("page", ["inquiry", "send"])
def test_no_green_line_stands_beside_a_time_for_which_no_place_was_found(owner: Client, page: str) -> None:
    """Seen: "This time works" beside "60 needed, 30 free"; the quote went out, and nobody could approve it."""
    quote = answered(UNDECIDED, SHORT)
    pages = {"inquiry": ("inquiry", quote.inquiry_id), "send": ("quote-send", quote.pk)}
    shown = owner.get(reverse(pages[page][0], args=[pages[page][1]])).content.decode()
    assert "This time works" not in shown
    assert "good time" not in shown
    assert "The hours and stations allow this time" not in shown
    assert "No plan was found in which all of this is ready in time." in shown
    assert "Ring, 10 in: 60 needed, 30 free" in shown
    ring = reverse("mold-edit", args=[Mold.objects.get(name="Ring, 10 in").pk])
    assert f'<a href="{ring}">Change how many of “Ring, 10 in” you have</a>' in shown


def test_a_yes_beside_the_other_orders_is_the_one_verdict(owner: Client) -> None:
    quote = answered(AS_PLANNED)
    shown = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert shown.count("This time works") == 1
    assert '<div class="note good"><p><strong>Time.</strong> Nothing else is promised around that day.' in shown
    assert "People" not in shown.partition("What is short can be added")[2]


def test_it_is_sent_with_a_tick_that_says_that_nobody_can_approve_yet(owner: Client) -> None:
    quote = answered(UNDECIDED, SHORT)
    address = reverse("quote-send", args=[quote.pk])
    page = owner.get(address)
    shown = page.content.decode()
    assert "the customer cannot approve before a time to make it is found" in shown
    assert shown.index("60 needed, 30 free") > shown.index("What Ida Fenwick will read")
    form = {"total_minor": page.context["content"].total_minor, "seen": page.context["seen"]}
    form |= ticks(quote, timezone.now())
    again = owner.post(address, form)
    assert "Not sent. Check the box that you send it before a time to make it is found" in text(again)
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DRAFT
    owner.post(address, form | {"unsure": page.context["beside"].unsure})
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT
    assert AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event="send_unsure").exists()


def test_the_service_refuses_it_without_the_mark_of_just_this_verdict() -> None:
    quote = answered(UNDECIDED, SHORT)
    with pytest.raises(PlaceUnseen):
        quote_send_seen(quote_id=quote.pk, by=BY, at=timezone.now())
    with pytest.raises(PlaceUnseen):
        quote_send_seen(quote_id=quote.pk, by=BY, at=timezone.now(), unsure_seen="of another verdict")


def test_the_answer_that_arrives_later_takes_the_line_of_the_hours_away(owner: Client) -> None:
    quote = answered(UNDECIDED, SHORT)
    address = reverse("quote-window", args=[quote.pk])
    swapped = owner.get(f"{address}?sending=1", headers={"HX-Request": "true"}).content.decode()
    assert '<p id="time-line" hx-swap-oob="delete"></p>' in swapped
    assert 'name="unsure"' in swapped
    assert 'name="unsure"' not in owner.get(address, headers={"HX-Request": "true"}).content.decode()
