"""A customer wanted to approve and could not: the owner reads what was short, and where to add it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from costing.plan.verdicts import UNDECIDED
from orders.approvals.messages import approval_held
from orders.approvals.models import Message
from orders.approvals.presenters import held_words
from orders.approvals.services import quote_record_approval
from orders.planning.answers import InTheWay, WindowAnswered
from orders.quotes.models import Quote
from orders.records.need_errors import MessageUnanswered
from orders.records.slot_errors import TimeUnsure
from tests.factories import BY, EVENT, NOW, sent_make
from tests.integration.catalog.kitchen_pages import text

pytestmark = pytest.mark.django_db
SHORT = InTheWay("mold:Ring, 10 in", "product:walnut-cake/0", EVENT - timedelta(days=2), EVENT, 60, 30)
ANSWER = WindowAnswered(UNDECIDED, (SHORT,))
REFUSAL = TimeUnsure(ANSWER, undecided=True, window=[EVENT, EVENT + timedelta(hours=1)], works=[])
WORDS = "Ring, 10 in: 30 short on Thursday, February 4, 2027."


@pytest.fixture
def tried(small_kitchen: Kitchen) -> Quote:
    """Return a sent quote that a customer wanted to approve, with too few rings."""
    Mold.objects.create(name="Ring, 10 in", shape="round", diameter_cm="25", height_cm="6", owned=30)
    quote = sent_make()
    facts = {"words": held_words("Ida Fenwick", REFUSAL), "reasons": (), "at": NOW, "answer": ANSWER.written()}
    approval_held(quote_id=quote.pk, name="Ida Fenwick", **facts)
    return quote


def test_the_kitchen_reads_what_was_short_and_not_the_customers_page(small_kitchen: Kitchen) -> None:
    """Seen: the error page, quoted, with a stray space before the closing mark."""
    assert held_words("Ida Fenwick", REFUSAL) == f"Ida Fenwick wanted to approve; not recorded yet. {WORDS}"
    other = MessageUnanswered(what="Q-1", text="nuts")
    assert " ”" not in held_words("Ida Fenwick", other)


def test_the_owners_pages_name_it_first_with_ways_on(tried: Quote, owner: Client) -> None:
    """Seen: "Change requested", with "Add to allergies and diets" below it."""
    ring = reverse("mold-edit", args=[Mold.objects.get(name="Ring, 10 in").pk])
    for address in (reverse("inquiry", args=[tried.inquiry_id]), reverse("quote", args=[tried.pk])):
        answer = owner.get(address)
        page, words = answer.content.decode(), text(answer)
        assert f"Ida Fenwick wanted to approve; not recorded yet. {WORDS}" in words
        assert f'<a href="{ring}">' in page
        assert reverse("quote-record-approval", args=[tried.pk]) in page
        assert "Change requested" not in words
        assert "Asked for a change" not in words
        assert "Add to allergies and diets" not in words


def test_the_day_names_the_wish_and_no_change(tried: Quote, owner: Client) -> None:
    words = text(owner.get(reverse("day")))
    assert "wanted to approve" in words
    assert "asks for a change" not in words


def test_once_it_is_approved_the_wish_is_read(tried: Quote) -> None:
    quote_record_approval(quote_id=tried.pk, name="Ida Fenwick", reason="by phone, Wednesday at ten", by=BY, at=NOW)
    assert Message.objects.get(quote=tried).seen_at == NOW
