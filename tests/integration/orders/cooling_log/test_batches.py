"""A batch that breaks the cooling rule stops as a dessert does, and is measured as one."""

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item, broken
from orders.quotes.models import CoolingOverride, Quote
from orders.records.cooling_errors import NotShownInTime, StartMissing
from orders.records.errors import (
    CoolingRuleBroken,
)
from orders.records.states import QuoteStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import MEASURED, override_make
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
TARTS = {"custard-tart": 24}


def kitchen() -> Item:
    """Boiled custard in tubs; the tarts themselves keep the rule."""
    custard = batch_kitchen_make(profile={"diameter_cm": "12", "height_cm": "1.2"})
    return Item("recipe", custard.pk)


def drafted() -> Quote:
    return draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))


def ordered() -> Order:
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    return Order.objects.prefetch_related("lines__product").latest("pk")


def test_a_batch_that_breaks_the_rule_is_not_sent_before_it_is_said_what_is_measured() -> None:
    custard = kitchen()
    assert [one.item for one in broken(TARTS, book_current())] == [custard]
    quote = drafted()
    with refused(CoolingRuleBroken, match="^Baked custard: not cold in the time the rule asks for"):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    override_make(quote)
    row = CoolingOverride.objects.get()
    assert (row.recipe_id, row.product_id) == (custard.pk, None)
    assert quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).status == QuoteStatus.SENT


def test_a_batch_of_another_size_is_judged_anew() -> None:
    kitchen()
    small, large = (broken({"custard-tart": units}, book_current()) for units in (12, 48))
    assert {one.mark for one in small}.isdisjoint({one.mark for one in large})


def test_the_draft_has_no_green_word_and_leads_to_how_the_batch_cools() -> None:
    custard = kitchen()
    page = signed_in("owner").get(reverse("inquiry", args=[drafted().inquiry_id])).content.decode()
    assert "Baked custard, as a batch for this order: not cold in the time the rule asks for" in page
    assert reverse("recipe-cooling", args=[custard.pk]) in page
    assert "can be kept" not in page
    assert "note good" not in page
    assert "good time" not in page


def test_a_deep_pot_is_named_and_its_stated_minutes_are_no_time_to_plan_a_window_with() -> None:
    custard = kitchen()
    pot = Vessel.objects.create(name="Pot", kind="pot", diameter_cm=25, height_cm=50, wall="metal")
    Recipe.objects.get(pk=custard.pk).steps.filter(name="Boil").update(vessel=pot, leaves_c=95)
    catalog_changed()
    units, book = 150, book_current()
    (one,) = broken({"custard-tart": units}, book)
    (cold,) = batch_colds([("custard", Fraction(60_000))], book)
    assert one.item == custard
    assert cold.times[0].trial.cold_slow is None
    inquiry = draft_make(table=table_make(lines=(line_make("custard-tart", units),), extras=())).inquiry
    page = " ".join(signed_in("owner").get(reverse("inquiry", args=[inquiry.pk])).content.decode().split())
    assert "the cooling time of Baked custard cannot be estimated" in page
    assert "note good" not in page
    assert "good time" not in page
    assert "can be kept. " not in page


def test_pages_and_sheets_carry_the_batch_until_it_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    custard = kitchen()
    order = ordered()
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    client, period = signed_in("kitchen"), {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    addresses = [reverse(name) for name in ("day", "sheet-prep", "sheet-cold", "sheet-handover")]
    for address in (*addresses, reverse("order", args=[order.pk])):
        page = " ".join(client.get(address, period).content.decode().split())
        assert "Cooling, Baked custard" in page, address
        assert f"Measure: {MEASURED}. By Tomas." in page, address
    readings = [read(2, 68), read(6, 41)]
    data = RecordData(custard, readings, "met", started_at=START, part=0)
    with refused(NotShownInTime, match="No reading shows Baked custard at 70 °F or colder"):
        late = RecordData(custard, [read(3, 68), read(6, 41)], "met", started_at=START, part=0)
        cooling_record_add(order_id=order.pk, data=late, by="tomas", at=AFTER)
    cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)
    assert CoolingRecord.objects.get().item == "Baked custard"
    for address in (*addresses, reverse("order", args=[order.pk])):
        page = " ".join(client.get(address, period).content.decode().split())
        assert "Measured: 41 °F on Friday, February 5, 2027, 3:00 PM by tomas." in page, address
        assert 'class="cooling-mark stop"' not in page, address


def test_the_kitchen_chooses_the_batch_on_the_form(monkeypatch: pytest.MonkeyPatch) -> None:
    custard = kitchen()
    order = ordered()
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    values = {"item": str(custard), "day": START.date().isoformat(), "started_time": "9:00", "outcome": "cooling"}
    values |= {"readings-0-celsius": "68", "readings-0-time": "11:00", "part": "0"}
    address = reverse("order-cooling", args=[order.pk])
    assert signed_in("kitchen").post(address, values).status_code == 302
    assert CoolingRecord.objects.get().recipe_id == custard.pk


def test_taking_the_heat_out_of_a_recipe_makes_nothing_cold() -> None:
    custard = kitchen()
    order = ordered()
    Recipe.objects.get(pk=custard.pk).steps.update(leaves_c=None, kind="mix", temperature_c=None)
    catalog_changed()
    (mark,) = cooling_marks([order])[order.pk].values()
    assert (mark.item, mark.name, mark.state) == (custard, "Baked custard", "owed")


def test_a_batch_whose_steps_were_mended_is_still_measured_by_a_rule() -> None:
    custard = kitchen()
    order = ordered()
    warm = RecordData(custard, [read(2, 90)], "not_met", started_at=START, action="discarded", part=0)
    cooling_record_add(order_id=order.pk, data=warm, by="tomas", at=AFTER)
    Recipe.objects.get(pk=custard.pk).steps.update(leaves_c=None, kind="mix", temperature_c=None)
    catalog_changed()
    one_reading = RecordData(custard, [read(6, 39)], "met", part=0)
    with refused(StartMissing, match="^Enter when cooling began"):
        cooling_record_add(order_id=order.pk, data=one_reading, by="tomas", at=AFTER)


def test_marks_of_batches_take_as_many_queries_for_any_number_of_orders() -> None:
    kitchen()
    orders = [ordered() for _ in range(3)]
    book = book_current()
    cooling_marks(orders, book)
    # Of one order the two others of its day come along with their lines and products. One query is for reasons: the
    # batch of all is another than that of each.
    for some, count in ((orders[:1], 9), (orders, 7)):
        with CaptureQueriesContext(connection) as queries:
            assert len(cooling_marks(some, book)) == len(some)
        assert len(queries) == count, [q["sql"][:160] for q in queries]


def test_readings_begin_when_the_batch_left_the_heat() -> None:
    custard = kitchen()
    order = ordered()
    early = RecordData(custard, [read(-1, 68)], "cooling", started_at=START - timedelta(hours=2), part=0)
    assert cooling_record_add(order_id=order.pk, data=early, by="tomas", at=AFTER).started_at == early.started_at


def test_a_batch_that_does_not_fit_its_vessel_stops_as_one_that_breaks_the_rule() -> None:
    custard = kitchen()
    Recipe.objects.get(pk=custard.pk).steps.filter(kind="cook").update(vessels=1)
    Vessel.objects.filter(name="Tub").update(height_cm=1)
    catalog_changed()
    (one,) = broken(TARTS, book_current())
    assert one.item == custard
    with refused(CoolingRuleBroken, match="Baked custard"):
        quote_send_seen(quote_id=drafted().pk, by=BY, at=NOW)


def test_a_hot_batch_that_no_step_cools_stops_too() -> None:
    custard = kitchen()
    Recipe.objects.get(pk=custard.pk).steps.filter(kind="chill").delete()
    catalog_changed()
    assert [one.item for one in broken(TARTS, book_current())] == [custard]


def _named_and_stopped(sentence: str, refusal: str) -> None:
    """Check that what nobody answered stands on the pages before sending, without a green word, and stops it."""
    quote = drafted()
    client = signed_in("owner")
    for page in (reverse("quote-send", args=[quote.pk]), reverse("inquiry", args=[quote.inquiry_id])):
        text = client.get(page).content.decode()
        assert sentence in text
        assert 'class="note good"' not in text
    with refused(CoolingRuleBroken, match=refusal):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)


def test_a_hot_step_of_which_nobody_said_how_it_cools_is_named_before_the_quote_goes() -> None:
    custard = kitchen()
    Recipe.objects.get(pk=custard.pk).steps.filter(kind="cook").update(leaves_c=None, vessel=None)
    catalog_changed()
    _named_and_stopped(
        "made hot, and how it cools is not stated. “Boil” makes it hot, and what it cools in",
        "^Baked custard: ",
    )


def test_a_hot_part_of_a_dessert_that_nothing_judges_is_named_before_the_quote_goes() -> None:
    custard = kitchen()
    boil = Recipe.objects.get(pk=custard.pk).steps.get(kind="cook")
    Recipe.objects.get(pk=custard.pk).steps.exclude(pk=boil.pk).delete()
    Recipe.objects.get(pk=custard.pk).steps.update(leaves_c=None, vessel=None, hold_max=30)
    baked = Product.objects.get(code="custard-tart").steps.filter(kind="bake")
    baked.update(kind="fill", leaves_c=None, temperature_c=None, station=None)
    catalog_changed()
    _named_and_stopped(
        "how it cools is not stated. Baked custard goes in hot after “Boil”, and its",
        "^Custard tart, 10 cm: ",
    )


def test_a_hot_part_without_a_stay_in_the_cold_stops_and_is_marked_until_it_is_measured() -> None:
    custard = kitchen()
    boil = Recipe.objects.get(pk=custard.pk).steps.get(kind="cook")
    Recipe.objects.get(pk=custard.pk).steps.exclude(pk=boil.pk).delete()
    Recipe.objects.get(pk=custard.pk).steps.update(leaves_c=None, vessel=None, hold_max=30)
    tart = Product.objects.get(code="custard-tart")
    tart.steps.filter(kind="bake").update(
        kind="fill", name="Fill and pipe", leaves_c=Decimal(60), temperature_c=None, station=None
    )
    tart.steps.filter(kind__in=["chill", "rest"]).delete()
    catalog_changed()
    (one,) = broken(TARTS, book_current())
    assert (one.item, one.why) == (Item("product", tart.pk), "no_cold_stage")
    order = ordered()
    sentences = [mark_shown(mark).sentence for mark in cooling_marks([order])[order.pk].values()]
    assert sentences == [f"No step gets it cold. Measure: {MEASURED}. By Tomas."]
    tart.steps.update(leaves_c=None)
    catalog_changed()
    sentences = [mark_shown(mark).sentence for mark in cooling_marks([order])[order.pk].values()]
    assert "The steps or the cooling changed since it was recorded what is measured instead" in sentences[0]
    client, day = signed_in("kitchen"), f"{order.window_start:%Y-%m-%d}"
    for name in ("sheet-prep", "sheet-cold", "sheet-handover", "sheet-labels"):
        answer = client.get(reverse(name), {"first": day, "last": day})
        assert "How this cools is not stated" in answer.content.decode(), name
    page = client.get(reverse("order-batches", args=[order.pk])).content.decode()
    assert "How this cools is not stated" in page
    assert "Nothing in this order is made hot as a batch" not in page


def test_an_ice_bath_that_ends_before_it_is_cold_stops_and_is_marked() -> None:
    custard = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2"}, ice_bath=True, depth_cm=Decimal(3), bath_min=Decimal(45)
    )
    custard.steps.filter(kind="chill").delete()
    catalog_changed()
    (one,) = broken(TARTS, book_current())
    assert (one.name, one.why, one.never) == ("Baked custard", "bath_ends_early", False)
    order = ordered()
    sentences = [mark_shown(mark).sentence for mark in cooling_marks([order])[order.pk].values()]
    assert [one for one in sentences if one.startswith("Its ice bath ends warm, and no chill step follows")]


def test_what_broke_the_rule_when_it_was_sent_stays_marked_whatever_the_steps_are_by_now() -> None:
    custard = kitchen()
    order = ordered()
    assert [mark.state for mark in cooling_marks([order])[order.pk].values()] == ["owed"]
    boil = Recipe.objects.get(pk=custard.pk).steps.get(kind="cook")
    Recipe.objects.filter(pk=custard.pk).update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    Recipe.objects.get(pk=custard.pk).steps.filter(pk=boil.pk).update(leaves_c=None, vessel=None)
    catalog_changed()
    (mark,) = cooling_marks([order])[order.pk].values()
    assert (mark.item, mark.state) == (custard, "owed")
    Recipe.objects.filter(pk=custard.pk).update(shelf_stable=False, shelf_stable_source="")
    Recipe.objects.get(pk=custard.pk).steps.filter(pk=boil.pk).update(
        leaves_c=Decimal(80), vessel=Vessel.objects.get(name="Hotel pan"), depth_cm=Decimal(1), ice_bath=True
    )
    catalog_changed()
    assert broken(TARTS, book_current()) == ()
    (mark,) = cooling_marks([order])[order.pk].values()
    assert (mark.item, mark.state, mark.earlier) == (custard, "owed", True)
    assert mark_shown(mark).sentence.startswith("Not cold in time, or not stated, by the steps its quote was sent with")
