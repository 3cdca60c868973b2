"""Dates of a quote's terms from the draft to the order: shorter for a near event, refused where they contradict."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.documents.content import QuoteContent, canonical, content_read
from orders.inquiries.services import inquiry_change
from orders.orders.models import Order
from orders.quotes.draft.services import Terms, draft_terms
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.quotes.terms.dates import TermsDates
from orders.quotes.terms.selectors import dates_of
from orders.records.closed_errors import QuoteEventOver
from orders.records.errors import TermsDisagree
from tests import factories
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored, sent_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import save_edit
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db

#: Nine days after a Wednesday morning: January 15, 2027, a Friday.
NEAR = (NOW + timedelta(days=9)).replace(hour=15, minute=30)


@pytest.fixture(autouse=True)
def kitchen(db: None) -> Kitchen:
    return kitchen_make()


@pytest.fixture
def at_now(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


def terms(**changes: Any) -> Terms:
    facts = {"valid_until": None, "deposit_share": Decimal("0.3"), "deposit_days": 7, "balance_days": 7}
    return Terms(**{**facts, "final_count_usual": True, **changes})


def end_of(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 23, 59, tzinfo=factories.ZONE)


def content(quote: Quote) -> QuoteContent:
    quote.refresh_from_db()
    return content_read(quote.content)


def approve(quote: Quote, at: datetime) -> Approval:
    return quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        evidence=ApprovalEvidence(),
        at=at,
    )


def test_a_quote_for_a_near_event_has_shorter_dates_that_agree() -> None:
    quote = sent_make(window_start=NEAR)
    found = content(quote)
    # Three days to decide: January 9; the work begins later, and the deposit is due before it does.
    assert found.valid_until.date() == date(2027, 1, 9)
    assert found.final_count_on == date(2027, 1, 9)
    assert found.deposit_latest_on is not None
    assert date(2027, 1, 9) <= found.deposit_latest_on < NEAR.date()
    assert (quote.valid_until, quote.final_count_on) == (found.valid_until, found.final_count_on)
    approve(quote, NOW + timedelta(days=2))
    assert Order.objects.get().deposit_due_on == found.deposit_latest_on


def test_a_quote_for_a_far_event_has_the_usual_dates_and_no_last_day_of_its_deposit() -> None:
    found = content(sent_make())
    assert (found.valid_until.date(), found.final_count_on) == (date(2027, 1, 20), date(2027, 1, 27))
    assert found.deposit_latest_on is None
    assert "deposit_latest_on" not in canonical(found)


def test_a_quote_is_valid_from_when_it_is_sent_not_from_when_it_was_begun() -> None:
    draft = draft_make()
    quote = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW + timedelta(days=5))
    assert content(quote).valid_until.date() == date(2027, 1, 25)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {
                "valid_until": end_of(date(2027, 1, 12)),
                "final_count_on": date(2027, 1, 9),
                "final_count_usual": False,
            },
            "Let the quote end on Saturday, January 9, 2027 or earlier",
        ),
        ({"valid_until": end_of(date(2027, 2, 6))}, "but work on it starts on"),
        ({"final_count_on": date(2027, 2, 6), "final_count_usual": False}, "but work on the order starts on"),
        ({"final_count_on": date(2027, 1, 5), "final_count_usual": False}, "which has passed"),
    ],
)
def test_dates_that_contradict_are_refused_at_sending_with_what_fits(
    owner: Client, at_now: None, changes: dict[str, Any], words: str
) -> None:
    draft = draft_make()
    draft_terms(quote_id=draft.pk, terms=terms(**changes), by=BY, at=NOW)
    with refused(TermsDisagree, match=words):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    for page in (reverse("quote-send", args=[draft.pk]), reverse("inquiry", args=[draft.inquiry_id])):
        shown = text(owner.get(page))
        assert words in shown, page
    draft.refresh_from_db()
    assert draft.status == "draft"


#: The form's cancellation table without a row.
NO_ROWS = {f"{rows}-{which}_FORMS": "0" for rows in ("retained", "payments", "after") for which in ("TOTAL", "INITIAL")}


def test_the_form_of_terms_refuses_them_and_holds_the_entries(owner: Client, at_now: None) -> None:
    draft = draft_make()
    address = reverse("quote-terms", args=[draft.pk])
    entries = {
        **NO_ROWS,
        "valid_until": "2027-01-12",
        "final_count_on": "2027-01-09",
        "deposit": "30%",
        "deposit_days": "7",
        "balance_days": "7",
        "note": "With love",
    }
    page = save_edit(owner, address, entries)
    assert "before that. Let the quote end on Saturday, January 9, 2027 or earlier" in text(page)
    for entry in ("2027-01-12", "2027-01-09", "With love"):
        assert entry in page.content.decode()
    # The usual final count, January 27, does not give way unseen: it stands on the page beside a later validity.
    unseen = save_edit(owner, address, {**entries, "valid_until": "2027-01-29", "final_count_on": "2027-01-27"})
    assert "Let the quote end on Wednesday, January 27, 2027 or earlier" in text(unseen)
    assert save_edit(owner, address, {**entries, "valid_until": "2027-01-09"}).status_code == 302
    draft.refresh_from_db()
    assert (draft.valid_until, draft.final_count_on) == (end_of(date(2027, 1, 9)), date(2027, 1, 9))


def test_usual_dates_that_the_form_showed_stay_the_usual_ones(owner: Client, at_now: None) -> None:
    draft = draft_make()
    address = reverse("quote-terms", args=[draft.pk])
    entries = {**NO_ROWS, "deposit": "30%", "deposit_days": "7", "balance_days": "7", "note": ""}
    days = {"valid_until": "2027-01-20", "final_count_on": "2027-01-27"}
    assert save_edit(owner, address, {**entries, **days}).status_code == 302
    draft.refresh_from_db()
    assert (draft.valid_until, draft.final_count_on, draft.final_count_usual) == (None, None, True)
    assert save_edit(owner, address, {**entries, **days, "final_count_on": ""}).status_code == 302
    draft.refresh_from_db()
    assert (draft.valid_until, draft.final_count_on, draft.final_count_usual) == (None, None, False)


def test_pages_say_that_dates_are_shorter_than_usual(owner: Client, at_now: None) -> None:
    draft = draft_make(window_start=NEAR)
    pages = ("inquiry", draft.inquiry_id), ("quote-send", draft.pk), ("quote-terms", draft.pk)
    for name, key in pages:
        shown = text(owner.get(reverse(name, args=[key])))
        assert "The event is in 9 days, and work on it starts" in shown, name
        assert (
            "Earlier than usual: final guest count due on Saturday, January 9, 2027; valid until Saturday, January 9, "
            "2027, 11:59 PM; deposit due by Wednesday, January 13, 2027."
        ) in shown, name
    far = draft_make()
    assert "Earlier than usual" not in text(owner.get(reverse("quote-send", args=[far.pk])))


def test_the_customer_reads_one_day_where_the_days_of_the_deposit_never_apply(client: Client, at_now: None) -> None:
    quote = sent_make(window_start=NEAR)
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))
    page = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert ", due by Wednesday, January 13, 2027 ." in page or ", due by Wednesday, January 13, 2027." in page
    assert "of your approval" not in page
    assert "is a deposit due by Wednesday, January 13, 2027. I have read" in content(quote).statement


def test_the_customer_reads_until_when_the_deposit_is_due_at_the_latest(
    client: Client, owner: Client, at_now: None
) -> None:
    quote = sent_make(window_start=NEAR + timedelta(days=2))
    latest = content(quote).deposit_latest_on
    assert latest is not None
    words = f"within 7 days of your approval, at the latest on {latest:%A, %B} {latest.day}, 2027"
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))
    assert words in text(client.get(reverse("quote-page", args=[quote.pk])))
    assert f"due within 7 days, at the latest on {latest:%A, %B} {latest.day}" in content(quote).statement
    draft = draft_make(window_start=NEAR + timedelta(days=2))
    shown = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "deposit due within 7 days of approval, and on" in shown


def test_a_revision_takes_its_dates_anew_and_says_which_are_others(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=1))
    owner = Client()
    owner.force_login(factories.user_make())
    first = sent_make()
    inquiry_change(
        inquiry_id=first.inquiry_id, data=factories.inquiry_data(window_start=NEAR), by=BY, at=NOW + timedelta(days=1)
    )
    draft = quote_revise(quote_id=first.pk, by=BY, at=NOW + timedelta(days=1))
    for name, key in (("inquiry", draft.inquiry_id), ("quote-send", draft.pk)):
        shown = text(owner.get(reverse(name, args=[key])))
        assert "Work on it now has to start by Thursday, January 14, 2027," in shown
        assert "the deposit is due by Wednesday, January 13, 2027 at the latest" in shown
        assert "final guest count is due on Sunday, January 10, 2027 instead of Wednesday, January 27, 2027." in shown
    second = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW + timedelta(days=1))
    # From January 7, three days to decide.
    assert content(second).valid_until.date() == content(second).final_count_on == date(2027, 1, 10)


def test_a_near_event_has_its_deposit_on_the_day_of_approval_where_canceling_costs_all(
    client: Client, at_now: None
) -> None:
    draft = draft_make(window_start=NEAR)
    # The whole price from January 8 on, a day before the quote ends.
    Quote.objects.filter(pk=draft.pk).update(cancellation_table=[{"days": 7, "share": "1"}])
    quote = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=NOW))
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=NOW)]))
    assert ", when you approve" in text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "is a deposit due at once" in content(quote).statement
    later = NOW + timedelta(days=2)
    approve(quote, later)
    assert Order.objects.get().deposit_due_on == later.date()


def sent_before_dates_agreed(monkeypatch: pytest.MonkeyPatch) -> Quote:
    """Return a sent quote that is valid beyond its event, as one that was sent before dates had to agree may be."""

    def beyond(*args: Any, **facts: Any) -> TermsDates:
        return replace(dates_of(*args, **facts), valid_until=end_of(date(2027, 1, 20)))

    with monkeypatch.context() as patched:
        patched.setattr("orders.quotes.send.services.dates_of", beyond)
        return pdf_stored(quote_send_seen(quote_id=draft_make(window_start=NEAR).pk, by=BY, at=NOW))


def test_a_quote_whose_event_is_over_is_not_approved_by_anybody(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote = sent_before_dates_agreed(monkeypatch)
    token, late = link_create(quote_id=quote.pk, at=NOW), NEAR
    with refused(QuoteEventOver, match="that time has passed, so it can no longer be approved"):
        approve(quote, late)
    with pytest.raises(QuoteEventOver):
        quote_record_approval(quote_id=quote.pk, name="Ida", reason="By phone to Maren.", by=BY, at=late)
    assert not Order.objects.exists()

    monkeypatch.setattr("django.utils.timezone.now", lambda: late)
    client.get(reverse("link-login", args=[token]))
    page = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "This quote is for Friday, January 15, 2027, and that time has passed" in page
    assert "Review and approve" not in page
    owner = Client()
    owner.force_login(factories.user_make())
    recorded = reverse("quote-record-approval", args=[quote.pk])
    words = "and that time has passed, so no approval can be recorded"
    assert words in text(owner.get(recorded))
    assert words in text(owner.post(recorded, {"name": "Ida", "how": "phone"}))
    assert recorded not in owner.get(reverse("quote", args=[quote.pk])).content.decode()


def test_a_quote_from_before_is_approved_until_its_event_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    assert approve(sent_before_dates_agreed(monkeypatch), NEAR - timedelta(minutes=1)).pk
