"""The most events and guests that an owner wants on one day: said on the draft and at review, asked by the service."""

import pytest
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from orders.orders.models import Order
from orders.quotes.day_limits import day_over
from orders.quotes.models import Quote
from orders.records.errors import DayOverLimit
from orders.records.models import AuditEntry
from orders.records.states import OrderEvent, QuoteStatus
from orders.records.transitions import transition
from tests import factories
from tests.factories import BY, EVENT, NOW
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
TOO_MANY = (
    "Saturday, February 6, 2027 would have 2 events and 130 guests; your limits are 1 and 100. "
    "Confirmed for that day: Wedding of Ida and Jonas."
)


@pytest.fixture
def draft() -> Quote:
    """A draft for a day on which a wedding of 80 is confirmed."""
    factories.kitchen_make(most_events_per_day=1, most_guests_per_day=100)
    factories.approved_make()
    return factories.draft_make(title="Golden wedding", guests=50, window_start=EVENT.replace(hour=11))


def test_sending_beyond_the_limits_of_a_day_has_to_be_acknowledged(draft: Quote) -> None:
    with refused(DayOverLimit, TOO_MANY.replace(".", r"\.") + " Check the box that you take it all the same"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    with refused(DayOverLimit, "Check the box that you take it"):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, day_over_seen="another mark")
    over = day_over(draft.inquiry, Kitchen.objects.get())
    assert over is not None
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, day_over_seen=over.mark).status == QuoteStatus.SENT
    assert AuditEntry.objects.filter(event="send_day_over").count() == 1
    assert TOO_MANY in text(signed_in().get(reverse("quote", args=[draft.pk])))


def test_draft_and_review_name_what_is_confirmed_for_the_day(draft: Quote) -> None:
    client = signed_in()
    sheet = text(client.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert f"{TOO_MANY} Choose another day, or confirm it when you send." in sheet
    review = client.get(reverse("quote-send", args=[draft.pk]))
    assert f"More than you want on one day. {TOO_MANY}" in text(review)
    answer = client.post(reverse("quote-send", args=[draft.pk]), {"total_minor": "1"})
    assert "Not sent. Check the box that you take it all the same, or choose another day." in text(answer)


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"most_events_per_day": 1}, "would have 2 events; your limit is 1."),
        ({"most_guests_per_day": 129}, "would have 130 guests; your limit is 129."),
        ({"most_events_per_day": 2, "most_guests_per_day": 130}, None),
        ({}, None),
    ],
)
def test_each_limit_counts_by_itself(draft: Quote, limits: dict[str, int], words: str | None) -> None:
    Kitchen.objects.update(**{"most_events_per_day": None, "most_guests_per_day": None, **limits})
    sheet = text(signed_in().get(reverse("inquiry", args=[draft.inquiry_id])))
    assert (words in sheet) if words else ("Limit of the day" not in sheet)


def test_what_is_canceled_or_on_another_day_does_not_count(draft: Quote) -> None:
    Kitchen.objects.update(most_guests_per_day=None)
    other = factories.draft_make(title="Sunday lunch", window_start=EVENT.replace(day=7))
    assert day_over(other.inquiry, Kitchen.objects.get()) is None
    assert day_over(draft.inquiry, Kitchen.objects.get()) is not None
    order = Order.objects.get()
    transition(order, OrderEvent.CANCEL, by=BY, at=NOW, canceled_at=NOW, canceled_reason="Called off")
    assert day_over(draft.inquiry, Kitchen.objects.get()) is None


def test_one_inquiry_alone_may_be_more_than_the_owner_wants() -> None:
    factories.kitchen_make(most_guests_per_day=60)
    draft = factories.draft_make()
    sheet = text(signed_in().get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "would have 80 guests; your limit is 60. Nothing else is confirmed for that day." in sheet
