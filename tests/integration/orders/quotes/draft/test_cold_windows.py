"""Windows against cooling: the longer of two clocks, what never gets cold, and the time out of the cold."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.planned import timing_of
from catalog.cooling.selectors import ColdTime, cold_times
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import RecipeStep
from catalog.web import display
from costing.contract.brief import Brief, BriefLine
from costing.estimating.engine import estimate
from costing.timing.chains import working_hours
from costing.timing.spans import minute_of
from orders.inquiries.models import Inquiry
from orders.quotes.cooling.presenters import verdict_words
from orders.quotes.cooling.selectors import broken
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.estimate import DraftEstimate, estimate_draft
from orders.quotes.draft.presenters import WindowShown, cold_notes_shown, window_shown
from orders.quotes.models import Quote
from orders.records.errors import CoolingRuleBroken, NeverCold, OutTooLong, WindowTooEarly
from orders.records.states import QuoteStatus
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, override_make
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
TART = "custard-tart"
#: The afternoon of the day after the inquiry.
NEXT_DAY = NOW + timedelta(days=1)


def drafted(**facts: Any) -> Quote:
    """A draft with tarts alone on the table."""
    return draft_make(table=table_make(lines=(line_make(TART, 24),), extras=()), **facts)


def estimated(quote: Quote) -> DraftEstimate:
    quote = Quote.objects.select_related("inquiry__customer").get(pk=quote.pk)
    with display.kitchen_display(kitchen()):
        return estimate_draft(table_of(quote), inquiry=quote.inquiry, kitchen=kitchen(), now=NOW)


def answered(quote: Quote) -> WindowShown:
    with display.kitchen_display(kitchen()):
        answer = window_shown(estimated(quote).window)
    assert answer is not None
    return answer


def notes(quote: Quote) -> str:
    with display.kitchen_display(kitchen()):
        return " ".join(note.sentence for note in cold_notes_shown(estimated(quote).cold))


def cold_stage() -> ColdTime:
    (time,) = cold_times([TART], book_current())[TART].times
    return time


def ready() -> datetime:
    """The first minute at which two dozen tarts can go."""
    book = book_current()
    found = estimate(book, Brief(date=NOW.date(), lines=(BriefLine(TART, 24),), supply_date=EVENT.date()))
    hours = working_hours(book)
    assert hours is not None
    timing = timing_of(book, found, hours, leaves=NEXT_DAY, now=NOW, cold=cold_times([TART], book))
    minute = timing.departures().first
    assert minute is not None
    return NOW + timedelta(minutes=minute - minute_of(NOW))


class TestTwoClocks:
    def test_the_stated_night_rules_a_thin_tart(self) -> None:
        cooling_kitchen_make()
        with_cooling = ready()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        catalog_changed()
        assert ready() == with_cooling

    def test_cooling_rules_a_deep_one_by_as_much_as_it_is_longer(self) -> None:
        deep = cooling_kitchen_make(**DEEP)
        longer = cold_stage().slow
        assert longer is not None
        with_cooling = ready()
        deep.steps.update(leaves_c=None)
        catalog_changed()
        assert with_cooling - ready() == timedelta(minutes=longer - 720)

    def test_the_refusal_names_the_clock_that_rules(self) -> None:
        cooling_kitchen_make(**DEEP)
        # On the next morning a night would have been enough, cooling is not.
        early = drafted(window_start=NEXT_DAY, minutes=Decimal(0), setup_minutes=Decimal(0))
        answer = answered(early)
        assert not answer.fits
        with display.kitchen_display(kitchen()):
            first = display.moment(ready())
        assert answer.sentence.startswith(f"Not before {first}: Custard tart, 10 cm ")
        assert "needs “Set in the cold”, Wednesday, January 6, 2027, " in answer.sentence
        assert answer.sentence.endswith(": until its core is at 41 °F at the slowest.")
        with refused(WindowTooEarly, match="until its core is at 41 °F"):
            quote_send_seen(quote_id=early.pk, by=BY, at=NOW)

    def test_the_nearest_window_is_kept_and_a_thinner_tart_is_offered_the_first_one(self) -> None:
        deep = cooling_kitchen_make(**DEEP)
        facts = {"window_start": NEXT_DAY, "minutes": Decimal(0), "setup_minutes": Decimal(0)}
        quarter = ready() + (datetime.min.replace(tzinfo=NOW.tzinfo) - ready()) % timedelta(minutes=15)
        later = quarter.astimezone(NOW.tzinfo)
        with display.kitchen_display(kitchen()):
            nearest = f"{display.window(later, later + timedelta(minutes=30))} works."
        assert answered(drafted(**facts)).instead == nearest
        assert answered(drafted(**facts | {"window_start": later})).fits
        Product.objects.filter(pk=deep.pk).update(fill_height_cm=Decimal(2))
        catalog_changed()
        assert answered(drafted(**facts)).fits

    def test_where_the_stated_time_rules_nothing_is_said_of_cooling(self) -> None:
        cooling_kitchen_make()
        answer = answered(drafted(window_start=NOW + timedelta(hours=10)))
        assert "needs “Set in the cold”" in answer.sentence
        assert "estimate" not in answer.sentence


class TestNeverCold:
    def test_air_too_warm_is_refused_with_what_it_takes(self) -> None:
        cooling_kitchen_make(air_c="4.5")
        quote = drafted()
        answer = answered(quote)
        assert answer.sentence == (
            "Custard tart, 10 cm may never get to 41 °F in the cold-room at 40 °F: if it cools slowly it does not."
        )
        assert answer.instead == "It needs air colder than 39 °F: no time works until then."
        assert (answer.fits, answer.about) == (False, "Cold")
        with refused(NeverCold, match="may never get to 41 °F"):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        quote.refresh_from_db()
        assert quote.status == QuoteStatus.DRAFT

    def test_degrees_are_the_kitchens(self) -> None:
        cooling_kitchen_make(air_c="4.5", degrees="C")
        assert "may never get to 5 °C in the cold-room at 5 °C" in answered(drafted()).sentence

    def test_it_is_refused_though_no_hours_are_entered(self) -> None:
        cooling_kitchen_make(air_c="4.5")
        quote = drafted()
        from catalog.kitchen.models import OpenHours

        OpenHours.objects.all().delete()
        assert not answered(quote).fits

    def test_the_stated_minutes_stand_where_something_is_missing_and_it_is_named(self) -> None:
        tart = cooling_kitchen_make()
        Product.objects.filter(pk=tart.pk).update(mold=None)
        catalog_changed()
        quote = drafted()
        assert answered(quote).fits
        with display.kitchen_display(kitchen()):
            (one,) = broken({TART: 24}, book_current())
            assert verdict_words(one).startswith("made hot, and how it cools is not stated. Choose what Custard")

    def test_the_stated_minutes_stand_where_it_freezes_and_it_is_notes(self) -> None:
        deep = cooling_kitchen_make(**DEEP | {"air_c": "-18"})
        quote = drafted()
        assert cold_stage().freezing is not None
        assert answered(quote).fits
        assert "freezes at its rim after " in notes(quote)
        assert "of “Set in the cold”, before its middle is cold." in notes(quote)
        assert ready() == _as_stated(deep)


def _as_stated(product: Product) -> datetime:
    product.steps.update(leaves_c=None)
    catalog_changed()
    return ready()


class TestRule:
    def test_a_rule_not_met_is_noted_and_refused_until_it_is_measured_instead(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        assert answered(quote).fits
        assert notes(quote).startswith("Custard tart, 10 cm: not cold in the time the rule asks for (United States, ")
        with refused(CoolingRuleBroken, match="Record what is measured instead, and by whom, before Q-"):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        override_make(quote)
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)

    def test_a_rule_that_is_met_gives_no_note(self) -> None:
        cooling_kitchen_make(diameter_cm="12", height_cm="1.2")
        assert cold_stage().verdict == "kept"
        assert notes(drafted()) == ""

    def test_the_sheet_shows_it_with_the_way_to_the_cooling_page(self) -> None:
        tart = cooling_kitchen_make(**DEEP)
        page = owners().get(reverse("inquiry", args=[drafted().inquiry_id])).content.decode()
        assert "not cold in the time the rule asks for" in page
        assert f'href="{reverse("product-cooling", args=[tart.pk])}">How it cools</a>' in page

    def test_no_green_word_stands_beside_a_rule_that_is_broken(self) -> None:
        cooling_kitchen_make(**DEEP)
        broken = owners().get(reverse("inquiry", args=[drafted().inquiry_id])).content.decode()
        assert "<strong>Cooling.</strong> Custard tart, 10 cm: not cold in the time" in stops_of(broken)
        assert (
            '<p class="soft time" id="time-line"><strong>Time.</strong> The hours and stations allow this time'
            in broken
        )
        assert "can be kept" not in broken
        assert "good time" not in broken

    def test_the_products_page_says_it_beside_when_it_is_ready(self) -> None:
        tart = cooling_kitchen_make(**DEEP)
        page = owners().get(reverse("product", args=[tart.pk])).content.decode()
        assert "Not cold in the time the rule asks for (United States, cooked food" in page
        Product.objects.filter(pk=tart.pk).update(fill_height_cm="1.2")
        catalog_changed()
        assert (
            "<strong>Cold.</strong>" not in owners("kitchen").get(reverse("product", args=[tart.pk])).content.decode()
        )

    def test_a_window_that_fits_by_its_hours_is_not_green_before_the_other_orders_are_checked(self) -> None:
        cooling_kitchen_make(diameter_cm="12", height_cm="1.2")
        # The custard goes warm into the oven, within the hour.
        RecipeStep.objects.filter(kind="cook").update(hold_max=60)
        catalog_changed()
        page = owners().get(reverse("inquiry", args=[drafted().inquiry_id])).content.decode()
        assert '<p class="soft time" id="time-line"><strong>Time.</strong> The hours and stations allow' in page
        assert "This time works" not in page
        assert "<strong>Cold.</strong>" not in page


def stops_of(page: str) -> str:
    """Return the problems of an inquiry's page."""
    return page.partition('<section class="issues stop"')[2].partition("</section>")[0]


def owners(role: str = "owner") -> Client:
    return signed_in(role)


class TestOutOfTheCold:
    def test_too_long_a_way_is_refused_with_what_works(self) -> None:
        cooling_kitchen_make()
        quote = drafted(minutes=Decimal(270), setup_minutes=Decimal(40))
        answer = answered(quote)
        assert answer.sentence == (
            "Travel and setup take 5 h 10 min; Custard tart, 10 cm may be out of the cold for 4 h at most "
            "(US Food Code 3-501.19(B), as enacted in 16 Del. Admin. Code 3-501.19: 41 °F or "
            "colder at first, marked, by written procedures)."
        )
        assert answer.instead == (
            "Another time does not help. What helps: travel of at most 3 h 20 min; a refrigerated vehicle, if the "
            "kitchen profile has one; or pickup by the customer, who is told the limit."
        )
        with refused(OutTooLong, match="may be out of the cold for 4 h at most"):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)

    def test_what_is_said_to_work_works(self) -> None:
        cooling_kitchen_make()
        far: dict[str, Any] = {"minutes": Decimal(270), "setup_minutes": Decimal(40)}
        assert not answered(drafted(**far)).fits
        assert answered(drafted(**far | {"minutes": Decimal(200)})).fits
        assert not answered(drafted(**far | {"minutes": Decimal(201)})).fits
        assert answered(drafted(**far, hand_over=Inquiry.HandOver.PICKUP)).fits
        Kitchen.objects.update(vehicle_cold=True)
        assert answered(drafted(**far)).fits

    def test_a_set_up_too_long_is_not_mended_by_the_vehicle(self) -> None:
        cooling_kitchen_make()
        answer = answered(drafted(minutes=Decimal(30), setup_minutes=Decimal(250)))
        assert "setup of at most 3 h 30 min" in answer.instead
        assert "vehicle" not in answer.instead
        assert "a way of" not in answer.instead
        Kitchen.objects.update(vehicle_cold=True)
        still = answered(drafted(minutes=Decimal(30), setup_minutes=Decimal(250)))
        assert still.sentence.startswith("Setup takes 4 h 10 min; ")

    def test_what_needs_no_cooling_may_go_far(self) -> None:
        cooling_kitchen_make()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        catalog_changed()
        # What its own steps chill, and holds milk or egg, has the rule's time out of the cold.
        assert not answered(drafted(minutes=Decimal(400))).fits
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        assert answered(drafted(minutes=Decimal(400))).fits

    def test_the_limit_is_noted_for_an_order_the_customer_collects(self) -> None:
        cooling_kitchen_make()
        quote = drafted(hand_over=Inquiry.HandOver.PICKUP)
        assert "Once picked up, Custard tart, 10 cm may be out of the cold for 4 h at most." in notes(quote)

    @pytest.mark.parametrize("vehicle_cold", [False, True])
    def test_where_the_rule_states_no_time_the_estimate_is_noted_and_nothing_refused(self, vehicle_cold: bool) -> None:
        cooling_kitchen_make(food_safety="eu", vehicle_cold=vehicle_cold, degrees="C")
        quote = drafted(minutes=Decimal(35), setup_minutes=Decimal(0))
        assert answered(quote).fits
        assert ("Out of the cold for 35 min before it is handed over." in notes(quote)) is not vehicle_cold
        assert ("(in an insulated box " in notes(quote)) is not vehicle_cold

    def test_where_the_rule_states_no_time_the_owner_is_asked_for_a_limit(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C")
        noted = notes(drafted(hand_over=Inquiry.HandOver.PICKUP))
        assert "Custard tart, 10 cm: your rule states no time out of the cold" in noted
        assert "Enter the limit that you or your authority go by" in noted

    def test_windows_go_by_the_limit_of_the_house(self) -> None:
        source = "Our food safety plan, March 2026"
        cooling_kitchen_make(food_safety="eu", degrees="C", time_out_minutes=120, time_out_source=source)
        assert answered(drafted(minutes=Decimal(80), setup_minutes=Decimal(40))).fits
        quote = drafted(minutes=Decimal(81), setup_minutes=Decimal(40))
        assert answered(quote).sentence == (
            "Travel and setup take 2 h 1 min; Custard tart, 10 cm may be out of the cold for 2 h at most "
            f"(your own limit: {source})."
        )
        assert "states no time" not in notes(quote)
        with refused(OutTooLong, match="your own limit"):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)

    def test_less_than_four_hours_are_no_four_hours(self) -> None:
        cooling_kitchen_make(food_safety="uk-ni", degrees="C")
        assert answered(drafted(minutes=Decimal(200), setup_minutes=Decimal(39))).fits
        answer = answered(drafted(minutes=Decimal(200), setup_minutes=Decimal(40)))
        assert "may be out of the cold for less than 4 h (a defense the kitchen has to prove: NISR" in answer.sentence
        assert "travel of at most 3 h 19 min" in answer.instead


class TestPages:
    @pytest.mark.parametrize(
        ("change", "word"), [({"air_c": "4.5"}, "<strong>Cold.</strong>"), ({}, "<strong>Out of the cold.</strong>")]
    )
    def test_the_sheet_and_the_check_say_why(self, change: dict[str, str], word: str) -> None:
        cooling_kitchen_make(**change)
        quote = drafted(at=datetime.now(NOW.tzinfo), window_start=_ahead(), minutes=Decimal(300))
        assert word in owners().get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()

    def test_sending_it_all_the_same_is_refused_in_words(self) -> None:
        cooling_kitchen_make()
        quote = drafted(at=datetime.now(NOW.tzinfo), window_start=_ahead(), minutes=Decimal(300))
        client = owners()
        address = reverse("quote-send", args=[quote.pk])
        assert "Travel and setup take 5 h 40 min" in client.get(address).content.decode()
        page = client.post(address, {"total_minor": "1"})
        assert page.status_code == 200
        quote.refresh_from_db()
        assert quote.status == QuoteStatus.DRAFT


def _ahead() -> datetime:
    """An afternoon a month from now."""
    return (datetime.now(NOW.tzinfo) + timedelta(days=30)).replace(hour=15, minute=30)
