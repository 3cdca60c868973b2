"""When the kitchen's own limit of time out of the cold ends, as a time of day."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.web import display
from orders.documents.agreed import at_window
from orders.documents.cold_words import cold_words
from orders.documents.content import canonical, content_read
from orders.inquiries.models import Inquiry
from orders.production.labels import label_file
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, EVENT, NOW, draft_make, sent_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.approvals.offered import checked, works
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
LIMIT: dict[str, Any] = {"time_out_minutes": 120, "time_out_source": "Our food safety plan, March 2026"}


def test_the_customer_and_the_labels_read_until_when_it_is_served() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
    order = order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
    content = content_read(order.quote.content)
    assert canonical(content) == order.quote.content
    with display.kitchen_display(Kitchen.objects.get()):
        assert cold_words(content).endswith("Serve by 4:15 PM.")
        assert "4:15 PM" in label_file([order]).decode()


def test_each_window_that_is_offered_has_its_own_time_to_serve_by() -> None:
    # The cake of two tiers is worked on for more than 2 h: its own steps would use up a shorter limit.
    cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT | {"time_out_minutes": 180})
    draft = checked(draft_make(minutes=Decimal(35), setup_minutes=Decimal(40)))
    mark, begin = next((mark, begin) for mark, begin in works(draft).items() if begin > EVENT)
    content = content_read(quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, offered=[mark]).content)
    other = at_window(content, 1)
    served = [(line.serve_by, one.serve_by) for line, one in zip(content.lines, other.lines, strict=True)]
    known = [(asked, chosen) for asked, chosen in served if asked is not None and chosen is not None]
    assert known
    assert all(chosen - asked == begin - EVENT for asked, chosen in known)
    changed = [one.holding for line, one in zip(content.lines, other.lines, strict=True) if line.holding != one.holding]
    assert len(changed) == len(known)


def test_the_owner_reads_that_it_is_served_before_the_window_ends_and_what_fits() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
    owner = signed_in("owner")
    draft = draft_make(minutes=Decimal(35), setup_minutes=Decimal(40))
    review = reverse("quote-send", args=[draft.pk])
    head = "Served before the window ends."
    assert head not in text(owner.get(review))
    Inquiry.objects.filter(pk=draft.inquiry_id).update(window_end=EVENT + timedelta(minutes=60))
    words = text(owner.get(review))
    assert head in words
    assert "to be served by 4:15 PM, but the delivery may come as late as 4:30 PM." in words
    assert "a delivery window of at most 45 min; a shorter trip or less setup time; a refrigerated vehicle." in words


def test_a_limit_of_the_rule_has_no_clock_of_the_house() -> None:
    cooling_kitchen_make()
    assert all(line.serve_by is None for line in content_read(sent_make().content).lines)


def test_the_labels_of_a_pickup_say_how_long_it_is_served_after_it() -> None:
    cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
    order = order_make(hand_over="pickup")
    with display.kitchen_display(Kitchen.objects.get()):
        assert "2 h from pickup" in label_file([order]).decode()
