"""How long rows are kept: a dry run changes nothing, a round lets go of what is older and of nothing else."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval, Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_ask_change, quote_decline
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.personal_data import retention
from orders.personal_data.periods import DAYS, RETAINED
from orders.personal_data.presenters import retention_words_of
from orders.personal_data.retention import RULES, retention_apply, retention_round, retention_table
from orders.personal_data.services import inquiry_erase
from orders.quotes.models import Quote
from orders.records.row_rules import ERASED
from tests import factories
from tests.factories import EVENT, NOW

pytestmark = pytest.mark.django_db(transaction=True)
YEAR = timedelta(days=365)


def due(at: Any) -> dict[str, int]:
    return {row.kind: row.due for row in retention_table(at=at) if row.due}


@pytest.fixture
def lost() -> Inquiry:
    """An inquiry whose quote was declined, and one of which nothing was sent."""
    factories.kitchen_make()
    quote = factories.sent_make(allergy_note="hazel")
    quote_ask_change(quote_id=quote.pk, text="fewer tarts", evidence=ApprovalEvidence(), at=NOW)
    quote_decline(quote_id=quote.pk, reason="too dear", evidence=ApprovalEvidence(), at=NOW)
    factories.draft_make(customer=factories.customer_data(name="Noor", email="noor@fenwick.example"))
    Outbox.objects.update(status="done", done_at=NOW)
    return quote.inquiry


def test_nothing_young_is_let_go(lost: Inquiry) -> None:
    assert due(NOW + timedelta(days=89)) == {}
    retention_apply(at=NOW + timedelta(days=89), everything=True)
    assert Inquiry.objects.count() == 2
    assert Outbox.objects.exists()


def test_of_itself_only_what_nobody_would_look_for_goes(lost: Inquiry) -> None:
    later = EVENT + 3 * YEAR
    retention_round(at=later)
    assert not Outbox.objects.exists()
    assert Inquiry.objects.count() == 2
    assert Inquiry.objects.get(pk=lost.pk).title != ERASED


def test_a_round_is_done_once_a_day(lost: Inquiry, settings: Any) -> None:
    settings.RETENTION_APPLY = True
    later = EVENT + 3 * YEAR
    retention_round(at=later - timedelta(hours=1) - 2 * YEAR)
    retention_round(at=later)
    assert Inquiry.objects.count() == 1
    factories.draft_make(customer=factories.customer_data(name="Noor", email="noor@fenwick.example"))
    retention_round(at=later + timedelta(hours=23))
    assert Inquiry.objects.count() == 2
    retention_round(at=later + timedelta(hours=25))
    assert Inquiry.objects.count() == 1


def test_an_inquiry_that_came_to_nothing_goes_or_loses_its_words_and_its_quote_the_person(lost: Inquiry) -> None:
    quote = Quote.objects.get(inquiry=lost)
    assert quote.pdf is not None
    later = EVENT + 2 * YEAR + timedelta(days=1)
    assert due(later)["inquiry"] == 2
    assert retention_apply(at=later, everything=True)["inquiry"] == 2
    inquiry = Inquiry.objects.get()
    assert (inquiry.title, inquiry.place, inquiry.allergy_note, inquiry.allergies) == (ERASED, "", "", [])
    assert set(Message.objects.values_list("text", "by")) == {(ERASED, ERASED)}
    left = Quote.objects.get(pk=quote.pk)
    assert (left.pdf, left.total_minor) == (None, quote.total_minor)
    assert "Fenwick" not in left.content
    assert Customer.objects.filter(name="Noor").exists() == bool(due(later + YEAR).get("customer"))
    assert "inquiry" not in due(later)


def test_what_was_ordered_stays_whole_but_for_the_origin_of_its_approval() -> None:
    factories.kitchen_make()
    quote = factories.sent_make()
    evidence = ApprovalEvidence(ip="192.0.2.55", user_agent="Mozilla/5.0")
    quote_approve(quote_id=quote.pk, content_sha256=quote.content_sha256, name="Ida Fenwick", evidence=evidence, at=NOW)
    order = Order.objects.get()
    Order.objects.filter(pk=order.pk).update(status="delivered")
    Order.objects.filter(pk=order.pk).update(status="closed")
    title = Order.objects.get().title
    retention_apply(at=EVENT + 2 * YEAR, everything=True)
    assert Approval.objects.get().ip == "192.0.2.55"
    retention_apply(at=EVENT + 20 * YEAR, everything=True)
    assert (Approval.objects.get().ip, Approval.objects.get().user_agent) == (None, ERASED)
    assert Order.objects.get().title == title
    assert Approval.objects.get().name == "Ida Fenwick"
    assert Inquiry.objects.get().title != ERASED


def test_a_row_that_cannot_go_holds_up_no_other(lost: Inquiry, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses_one(inquiry: Inquiry, **rest: Any) -> None:
        if inquiry.pk == lost.pk:
            raise IntegrityError
        inquiry_erase(inquiry, **rest)

    monkeypatch.setattr(retention, "inquiry_erase", refuses_one)
    done = retention_apply(at=EVENT + 3 * YEAR, everything=True)
    assert done["inquiry"] == 1
    assert list(Inquiry.objects.values_list("pk", flat=True)) == [lost.pk]
    assert set(Message.objects.values_list("text", flat=True)) != {ERASED}, "taken back with the rest of its row"
    assert "approval_origin" in done, "the rules after it were applied"


def test_each_rule_has_words_and_each_period_can_be_set(settings: Any) -> None:
    words = retention_words_of(retention_table(at=NOW))
    assert len(words) == len(RULES)
    assert {rule.kind for rule in RULES} == {*DAYS, *RETAINED}
    settings.RETENTION_DAYS = {**settings.RETENTION_DAYS, "outbox": 7}
    assert "after 7 days" in " ".join(retention_words_of(retention_table(at=NOW)))


def test_the_command_shows_first_and_removes_when_asked(lost: Inquiry, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: EVENT + 3 * YEAR)
    out = io.StringIO()
    call_command("retention", stdout=out)
    assert "Nothing was removed" in out.getvalue()
    assert "Ask your adviser" in out.getvalue()
    assert Inquiry.objects.count() == 2
    call_command("retention", "--apply", stdout=out)
    assert "2 inquiry" in out.getvalue()
    assert Inquiry.objects.count() == 1


def test_rows_that_have_to_stay_do_not_keep_a_full_round_from_the_others(
    lost: Inquiry, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(retention, "ROUND", 1)
    first = Inquiry.objects.earliest("pk")
    monkeypatch.setattr(retention, "still_open", lambda subject: subject.only == first)
    retention_apply(at=EVENT + 3 * YEAR, everything=True)
    assert list(Inquiry.objects.all()) == [first], "the second was never sent, so it goes whole"
    assert Inquiry.objects.get(pk=first.pk).title != ERASED
