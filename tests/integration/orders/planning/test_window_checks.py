"""A draft's window beside what is promised: asked for by its page, worked out by the outbox, minded when it is sent."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, OpenHours, Vehicle
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from orders.approvals.services import quote_record_approval
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning.models import WindowCheck
from orders.planning.selectors import check_key, window_answered
from orders.planning.services import window_check_ask
from orders.planning.usual import usual_units
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.errors import WindowTaken
from orders.records.states import QuoteStatus
from tests.factories import BY, EVENT, NOW, draft_make, line_make, pdf_stored, table_make, user_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.approvals.rings import ordered_beside_the_plan
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
HX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    """Let four rings and a small cold room be all there is for the cake, its glazing quick, and vans enough."""
    Vehicle.objects.bulk_create(Vehicle(name=f"Van {number}", position=number) for number in range(16))
    ring = Mold.objects.create(name="Ring, 10 in", shape="round", diameter_cm="25", height_cm="6", owned=4)
    Product.objects.filter(code="walnut-cake").update(mold=ring, load=4)
    steps = ProductStep.objects.filter(product__code="walnut-cake")
    steps.filter(hands_each=60).update(hands_each=2)
    # What proves a no is stated: how long it may wait between its steps.
    steps.filter(hold_max=None).update(hold_max=60)
    Station.objects.filter(code="cold-room").update(places=12)
    Station.objects.filter(code="oven").update(places=4)
    catalog_changed()


def cakes(units: int, **facts: Any) -> Quote:
    return draft_make(table=table_make(lines=(line_make("walnut-cake", units),), extras=()), **facts)


def checked(quote: Quote, at: Any = NOW) -> str:
    """Ask, let the outbox work it out, and return the verdict."""
    assert not window_check_ask(quote_id=quote.pk, at=at)
    for row in Outbox.objects.filter(kind="window_check", status="waiting"):
        assert outbox_run(row_id=row.pk, at=row.run_after)
    found = window_answered(Quote.objects.get(pk=quote.pk), at)
    assert found is not None
    return found.verdict


def test_forty_cakes_in_four_rings_are_not_sent(owner: Client) -> None:
    """Seen: "can be kept", work to begin three days before; the rings alone take ten nights."""
    draft = cakes(40)
    assert checked(draft) == IMPOSSIBLE
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "This cannot be made for that time, however the work is arranged." in page
    way = page.partition("Nothing else is promised around that day.")[2]
    assert "Ring, 10 in: from" in way
    assert "times what there is." in way
    assert "Not counted, because nothing says how many there are or how much goes in: people." in way
    send = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "Not everything can be made for this time beside what is promised already." in send
    with pytest.raises(WindowTaken):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)


def test_what_fits_in_is_said_and_sent(owner: Client) -> None:
    draft = cakes(4)
    assert checked(draft) == AS_PLANNED
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "Nothing else is promised around that day. This time works: people, ovens" in page
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW).status == QuoteStatus.SENT


def test_a_way_of_28_minutes_proves_no_no() -> None:
    """Seen: what leaves at 2:52 PM, beside the grid of five minutes, could never be made."""
    assert checked(cakes(4, minutes=Decimal(28), setup_minutes=Decimal(10))) == AS_PLANNED


def test_orders_of_one_hour_are_counted(owner: Client) -> None:
    """Seen: thirty orders for one half hour were all confirmed."""
    verdicts = []
    for _ in range(6):
        draft = cakes(4)
        verdicts.append(checked(draft))
        if verdicts[-1] not in (AS_PLANNED, BY_REARRANGING):
            break
        order_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))
    assert verdicts[0] == AS_PLANNED
    assert verdicts[-1] not in (AS_PLANNED, BY_REARRANGING), verdicts
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert f"{len(verdicts) - 1} orders are promised around that day." in page
    if verdicts[-1] == UNDECIDED:
        assert "In the way, as the work is planned now:" in page


def test_a_draft_left_over_is_not_checked_beside_the_order_of_its_own_quote(owner: Client) -> None:
    waits = pdf_stored(quote_send_seen(quote_id=cakes(4).pk, by=BY, at=NOW))
    draft = quote_revise(quote_id=waits.pk, by=BY, at=NOW)
    before = check_key(Quote.objects.get(pk=draft.pk), NOW)
    quote_record_approval(quote_id=waits.pk, name="Ida Fenwick", reason="by phone, Wednesday at ten", by=BY, at=NOW)
    assert check_key(Quote.objects.get(pk=draft.pk), NOW) == before
    checked(draft)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "Nothing else is promised around that day." in page
    other = cakes(4)
    checked(other)
    page = text(owner.get(reverse("inquiry", args=[other.inquiry_id])))
    assert "1 order is promised around that day." in page


def test_the_page_asks_and_shows_that_it_is_being_checked(owner: Client) -> None:
    draft = cakes(4)
    page = owner.get(reverse("inquiry", args=[draft.inquiry_id])).content.decode()
    address = reverse("quote-window", args=[draft.pk])
    assert f'hx-post="{address}" hx-trigger="load"' in page
    waiting = owner.post(address, headers=HX).content.decode()
    assert "Being checked" in waiting
    assert f'hx-get="{address}"' in waiting
    assert Outbox.objects.filter(kind="window_check").count() == 1
    owner.post(address, headers=HX)
    assert Outbox.objects.filter(kind="window_check").count() == 1


def test_without_scripts_a_button_asks_and_the_page_comes_back(owner: Client) -> None:
    draft = cakes(4)
    address = reverse("quote-window", args=[draft.pk])
    back = reverse("inquiry", args=[draft.inquiry_id])
    assert owner.post(address)["Location"] == back
    assert owner.get(address)["Location"] == back
    assert "Being checked" in text(owner.get(back))


def test_an_answer_is_out_of_date_when_anything_it_rests_on_changes() -> None:
    draft = cakes(4)
    assert checked(draft) == AS_PLANNED
    assert window_answered(draft, NOW) is not None
    assert window_answered(draft, NOW + timedelta(days=1)) is None
    order_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))
    assert window_answered(draft, NOW) is None
    assert checked(draft) == AS_PLANNED
    Mold.objects.filter(name="Ring, 10 in").update(owned=8)
    catalog_changed()
    assert window_answered(draft, NOW) is None


def test_an_answer_to_what_was_asked_before_is_not_kept() -> None:
    draft = cakes(4)
    window_check_ask(quote_id=draft.pk, at=NOW)
    first = Outbox.objects.get(kind="window_check")
    catalog_changed()
    window_check_ask(quote_id=draft.pk, at=NOW)
    assert outbox_run(row_id=first.pk, at=first.run_after)
    assert WindowCheck.objects.get(quote=draft).answered_at is None


def test_only_the_owner_asks(client: Client) -> None:
    draft = cakes(4)
    client.force_login(user_make("kitchen", "cook"))
    assert client.post(reverse("quote-window", args=[draft.pk])).status_code == 403


def test_a_window_that_works_is_named_where_the_one_asked_for_does_not() -> None:
    for _ in range(3):
        order_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))
    draft = cakes(4, window_start=EVENT, window_end=EVENT + timedelta(minutes=30))
    found = checked(draft)
    answer = window_answered(draft, NOW)
    assert answer is not None
    if found not in (AS_PLANNED, BY_REARRANGING):
        assert answer.instead
        assert all(begin > NOW for begin, _ in answer.instead)


def test_unplaced_work_of_others_is_named_beside_the_answer(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    ordered_beside_the_plan(monkeypatch)
    for _ in range(14):
        order_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))
    draft = cakes(4)
    checked(draft)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "have work without a place in the plan." in page or "has work without a place in the plan." in page


def test_a_page_stops_looking_for_an_answer_that_does_not_come(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    draft = cakes(4)
    window_check_ask(quote_id=draft.pk, at=NOW)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(minutes=2))
    page = owner.get(reverse("inquiry", args=[draft.inquiry_id])).content.decode()
    assert "it takes longer than usual" in page
    assert 'hx-get="' + reverse("quote-window", args=[draft.pk]) not in page


def test_a_wait_that_nobody_stated_proves_no_no(owner: Client) -> None:
    """Open on Saturdays alone, with three days in the cold: by the safe default it keeps until Friday."""
    OpenHours.objects.all().delete()
    OpenHours.objects.create(weekday=EVENT.weekday(), opens="06:00", closes="18:00")
    ProductStep.objects.filter(product__code="walnut-cake", kind="chill").update(hold_max=None)
    week = ProductStep.objects.filter(product__code="walnut-cake").order_by("position").last()
    assert week is not None
    ProductStep.objects.filter(pk=week.pk).update(minutes=3 * 24 * 60)
    catalog_changed()
    draft = cakes(4)
    verdict = checked(draft)
    answer = window_answered(draft, NOW)
    assert answer is not None
    assert (verdict, answer.unstated) == (UNDECIDED, True)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "The reason is only that some waits are not entered." in page


def test_a_delivery_while_the_only_vehicle_is_away_is_answered_and_its_words_name_the_vehicle(owner: Client) -> None:
    """Seen: two weddings on one day did not mention each other; the driver baked while driving."""
    Vehicle.objects.exclude(position=0).delete()
    catalog_changed()
    order_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    draft = cakes(1)
    assert checked(draft) == IMPOSSIBLE
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "Vehicles: 1 needed, 0 free, from " in page
    assert "for the delivery, until it is back." in page
    assert "No vehicle is entered" not in page
    later = cakes(1, window_start=EVENT + timedelta(hours=3))
    assert checked(later) == AS_PLANNED
    collected = cakes(1, hand_over="pickup")
    assert checked(collected) == AS_PLANNED


def test_one_vehicle_counts_where_none_is_entered_proves_no_no_and_links_to_its_page(owner: Client) -> None:
    Vehicle.objects.all().delete()
    catalog_changed()
    order_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    draft = cakes(1)
    assert checked(draft) == UNDECIDED
    page = owner.get(reverse("inquiry", args=[draft.inquiry_id])).content.decode()
    assert "No vehicle is entered, so one counts: one delivery at a time." in page
    assert f'<a href="{reverse("kitchen-delivery")}">Enter vehicles</a>' in page


def test_a_drive_that_nobody_timed_counts_with_a_default_and_links_to_the_inquiry(owner: Client) -> None:
    draft = cakes(1, minutes=None)
    assert checked(draft) == AS_PLANNED
    page = owner.get(reverse("inquiry", args=[draft.inquiry_id])).content.decode()
    assert "Nobody entered how long the drive takes, so 60 minutes count for the way back." in page
    assert f'<a href="{reverse("inquiry-edit", args=[draft.inquiry_id])}">Enter the drive</a>' in page


def test_an_inquiry_without_a_table_is_checked_with_what_was_made_most_and_says_so(
    owner: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By pieces, as they were shared in the orders of one year; what is still to come counts for nothing."""
    ordered_beside_the_plan(monkeypatch)
    for code, units, days in (("walnut-cake", 20, 30), ("custard-tart", 60, 300), ("custard-tart", 9000, 400)):
        past = order_make(table=table_make(lines=(line_make(code, units),), extras=()))
        begin = NOW - timedelta(days=days)
        Order.objects.filter(pk=past.pk).update(window_start=begin, window_end=begin + timedelta(minutes=30))
    draft = cakes(1, guests=50, pieces_per_guest=Decimal(2))
    draft.lines.all().delete()
    assert usual_units(draft.inquiry, NOW) == {"walnut-cake": 3, "custard-tart": 6}
    assert checked(draft) == AS_PLANNED
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    words = "Nothing is chosen yet. Checked with what you made most in the past year, for so many guests: "
    assert "You can state what you usually serve instead. Enter usual desserts" in page
    assert f"{words}3 × Walnut sponge cake, two tiers; 6 × Custard tart, 10 cm." in page
    Inquiry.objects.filter(pk=draft.inquiry_id).update(guests=4000)
    draft = Quote.objects.get(pk=draft.pk)
    assert window_answered(draft, NOW) is None
    assert checked(draft) in (IMPOSSIBLE, UNDECIDED)


def test_what_the_owner_states_as_usual_is_checked_and_named_before_what_was_ordered(owner: Client) -> None:
    """Half a serving of cake and one tart and a half for each guest; of what is not sold any more nothing."""
    for code, each in (("walnut-cake", "0.5"), ("custard-tart", "1.5"), ("quince-square", "9")):
        Product.objects.filter(code=code).update(usual_pieces=Decimal(each))
    Product.objects.filter(code="quince-square").update(active=False)
    catalog_changed()
    draft = cakes(1, guests=50, pieces_per_guest=None)
    draft.lines.all().delete()
    # 25 pieces of cake, and 75 tarts in boxes of six.
    assert usual_units(draft.inquiry, NOW) == {"walnut-cake": 1, "custard-tart": 72}
    assert checked(draft) in (AS_PLANNED, BY_REARRANGING, UNDECIDED)
    page = text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
    assert "Nothing is chosen yet. Checked with your usual desserts for so many guests: " in page
    assert "You can state what you usually serve instead." not in page
    Inquiry.objects.filter(pk=draft.inquiry_id).update(pieces_per_guest=Decimal(4))
    doubled = usual_units(Inquiry.objects.get(pk=draft.inquiry_id), NOW)
    assert doubled == {"walnut-cake": 2, "custard-tart": 150}


def test_without_guests_or_orders_an_empty_table_is_not_checked(owner: Client) -> None:
    draft = cakes(1, guests=None)
    draft.lines.all().delete()
    assert usual_units(draft.inquiry, NOW) == {}
    assert "Beside the other orders" not in text(owner.get(reverse("inquiry", args=[draft.inquiry_id])))
