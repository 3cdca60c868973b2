"""What the customer's page, its PDF and the kitchen's sheets say about the cold."""

import io
import json
import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from catalog.book.revision import catalog_changed
from catalog.cooling.caution_presenters import band_words
from catalog.kitchen.models import Kitchen
from catalog.kitchen.trace_words import CROSS_CONTACT
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.web import display
from orders.approvals.links import link_create
from orders.documents.content import QuoteContent, canonical, content_read, sha256_of
from orders.inquiries.models import Inquiry
from orders.production.cold_room import ColdRow, cold_rows
from orders.production.tasks import tasks
from orders.quotes.changes import changes_between
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.records.errors import OutTooLong
from orders.records.presenters import sentence
from orders.templatetags.quote_content import HOLDING_CAUTION, holding_lines
from tests.cooling_kitchen import cooling_kitchen_make
from tests.cooling_kitchen import sent_measured_make as sent_make
from tests.factories import EVENT, NOW
from tests.integration.orders.builders import order_make
from tests.integration.orders.production.test_sheets import found
from tests.integration.orders.quotes.draft.test_cold_windows import DEEP, TART
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
WORDS = (
    "Keep at 41 °F or colder. At most 4 h out of the cold in all, on the way, setting up and on the table together; "
    "then throw it away."
)
#: A limit of the house, where the rule states none.
LIMIT: dict[str, Any] = {"time_out_minutes": 120, "time_out_source": "Our food safety plan, March 2026"}
OWN = "Take them out of the box half an hour before they are served."


#: How a product without cooling data is held, in its owner's words.
TEXT = "Keep at 5 °C (41 °F) or colder until it is set out."


def held_by_text_make(text: str = TEXT, **profile: Any) -> None:
    """Make the kitchen with a tart that states no temperatures, and a text on how it is held."""
    cooling_kitchen_make(**profile).steps.update(leaves_c=None)
    Product.objects.filter(code=TART).update(holding=text)
    catalog_changed()


def content_sent(**facts: Any) -> QuoteContent:
    return content_read(sent_make(**facts).content)


class TestContent:
    def test_a_line_that_was_cooled_says_how_to_hold_it_before_the_owners_words(self) -> None:
        cooling_kitchen_make()
        Product.objects.filter(code=TART).update(holding=OWN)
        tart, *others = content_sent().lines
        assert tart.holding == f"{WORDS}\n{OWN}"
        assert (tart.out_minutes, tart.until_warm) == (240, False)
        assert {(line.holding, line.out_minutes) for line in others} <= {
            ("", None),
            ("Keep at 41 °F or colder until it is served.", None),
            (WORDS, 240),
        }

    def test_where_the_rule_states_no_time_nothing_is_to_be_thrown_away(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C")
        tart = content_sent().lines[0]
        assert tart.holding == "Keep at 5 °C or colder until it is served."
        assert tart.until_warm
        assert tart.out_minutes is not None
        assert tart.out_minutes < 60

    def test_a_limit_of_the_house_is_what_the_customer_reads(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
        tart = content_sent(minutes=Decimal(35), setup_minutes=Decimal(40)).lines[0]
        leaves = EVENT - timedelta(minutes=75)
        with display.kitchen_display(Kitchen.objects.get()):
            by = f"so by {display.clock(leaves + timedelta(hours=2))} (we plan to leave at {display.clock(leaves)})"
        assert tart.holding == (
            f"Keep at 5 °C or colder. Serve within 2 h of our leaving, {by}; then throw away what is left."
        )
        assert (tart.out_minutes, tart.until_warm) == (120, False)
        assert tart.serve_by == leaves + timedelta(hours=2)

    def test_a_limit_of_the_house_counts_from_the_hand_over_of_what_is_picked_up(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
        tart = content_sent(hand_over=Inquiry.HandOver.PICKUP).lines[0]
        assert "Serve within 2 h of picking it up; then" in tart.holding

    def test_what_cannot_be_worked_out_is_held_cold_and_has_the_time_of_the_rule_all_the_same(self) -> None:
        cooling_kitchen_make()
        Product.objects.filter(code=TART).update(mold=None)
        catalog_changed()
        tart = content_sent().lines[0]
        assert (tart.holding, tart.out_minutes) == (WORDS, 240)

    def test_what_never_stands_in_the_cold_is_kept_cold_and_has_no_time_out_for_want_of_a_figure(self) -> None:
        tart = cooling_kitchen_make()
        tart.steps.filter(kind="chill").delete()
        catalog_changed()
        tart = content_sent().lines[0]
        assert (tart.holding, tart.out_minutes) == ("Keep at 41 °F or colder until it is served.", None)

    @pytest.mark.parametrize(("rule", "minutes", "words"), [("us", 240, "At most 4 h out of the cold in all, on the")])
    def test_a_dessert_that_its_text_holds_cold_has_the_time_of_the_rule(
        self, rule: str, minutes: int, words: str
    ) -> None:
        held_by_text_make(food_safety=rule)
        tart = content_sent().lines[0]
        assert tart.holding.startswith(f"{TEXT}\n{words}")
        assert (tart.out_minutes, tart.until_warm) == (minutes, False)

    def test_a_dessert_that_its_text_holds_cold_has_the_limit_of_the_house(self) -> None:
        held_by_text_make(food_safety="eu", degrees="C", **LIMIT)
        tart = content_sent(minutes=Decimal(35), setup_minutes=Decimal(40)).lines[0]
        leaves = EVENT - timedelta(minutes=75)
        with display.kitchen_display(Kitchen.objects.get()):
            by = f"so by {display.clock(leaves + timedelta(hours=2))} (we plan to leave at {display.clock(leaves)})"
        assert tart.holding == f"{TEXT}\nServe within 2 h of our leaving, {by}; then throw away what is left."
        assert (tart.out_minutes, tart.until_warm) == (120, False)

    def test_a_dessert_that_its_text_holds_cold_is_not_sent_out_for_longer(self) -> None:
        held_by_text_make(food_safety="eu", degrees="C", **LIMIT)
        with pytest.raises(OutTooLong) as refused:
            content_sent(minutes=Decimal(90), setup_minutes=Decimal(40))
        words = sentence(refused.value)
        assert re.search(r"Custard tart, 10 cm.* may be out of the cold for 2 h at most \(your own limit: ", words)

    def test_where_nobody_states_a_time_its_own_text_stands_alone(self) -> None:
        held_by_text_make(food_safety="eu", degrees="C")
        tart = content_sent().lines[0]
        assert (tart.holding, tart.out_minutes, tart.until_warm) == (TEXT, None, False)

    def test_what_was_sent_stays_when_the_rule_changes(self) -> None:
        cooling_kitchen_make()
        quote = sent_make()
        Kitchen.objects.update(food_safety="eu")
        catalog_changed()
        stored = Quote.objects.get(pk=quote.pk)
        assert content_read(stored.content).lines[0].holding == WORDS
        assert sha256_of(stored.content) == stored.content_sha256

    def test_a_revision_says_that_holding_changed(self) -> None:
        cooling_kitchen_make()
        before = content_sent()
        Kitchen.objects.update(food_safety="eu")
        catalog_changed()
        assert changes_between(before, before) == []
        wording = change_sentences(changes_between(before, content_sent()))
        assert "How to keep and serve Custard tart, 10 cm changed." in wording
        assert sum("keep and serve Custard tart" in one for one in wording) == 1

    def test_a_content_from_before_reads_back_and_keeps_its_text_and_hash(self) -> None:
        cooling_kitchen_make(food_safety="au", degrees="C")
        data = json.loads(sent_make().content)
        assert data["lines"][0]["out_under"]
        for line in data["lines"]:
            line.pop("out_minutes", None)
            line.pop("until_warm", None)
            line.pop("out_under", None)
        before = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        read_back = content_read(before)
        assert not read_back.cooled
        assert canonical(read_back) == before

    def test_a_kitchen_that_asks_for_no_cooling_sends_what_it_sent_before(self) -> None:
        cooling_kitchen_make()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        quote = sent_make()
        assert "out_minutes" not in quote.content
        assert "until_warm" not in quote.content
        assert "out_under" not in quote.content

    def test_its_text_is_canonical_with_the_new_keys_too(self) -> None:
        cooling_kitchen_make(food_safety="eu")
        quote = sent_make()
        assert '"out_minutes":' in quote.content
        assert canonical(content_read(quote.content)) == quote.content


def held(*ways: tuple[str, str]) -> list[tuple[str, str]]:
    """Return what a page says of lines with these names and words."""
    content = content_read(sent_make().content)
    from dataclasses import replace

    lines = tuple(replace(content.lines[0], name=name, holding=words) for name, words in ways)
    return holding_lines(replace(content, lines=lines))


class TestWays:
    @pytest.fixture(autouse=True)
    def kitchen(self) -> None:
        cooling_kitchen_make()

    def test_alike_words_are_said_once_for_all(self) -> None:
        assert held(("Tart", WORDS), ("Glass", WORDS)) == [(WORDS, "All desserts")]

    def test_own_words_stand_by_themselves_and_shared_ones_after_them(self) -> None:
        assert held(("Tart", f"{OWN}\n{WORDS}"), ("Glass", WORDS), ("Square", "")) == [
            (OWN, "Tart"),
            (WORDS, "Tart and Glass"),
        ]

    def test_several_lines_of_one_dessert_stay_together(self) -> None:
        assert held(("Tart", f"One.\nTwo.\n{WORDS}"), ("Square", "")) == [(f"One.\nTwo.\n{WORDS}", "Tart")]

    def test_nothing_to_hold_says_nothing(self) -> None:
        assert held(("Tart", " "), ("Square", "")) == []


class TestShown:
    def test_the_customers_page_says_it_and_defers_to_the_food_code_once(self, client: Client) -> None:
        cooling_kitchen_make()
        cache.clear()
        quote = sent_make()
        client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
        page = client.get(f"/q/{quote.pk}/").content.decode()
        assert WORDS in page
        assert page.count(HOLDING_CAUTION) == 1
        assert page.index(CROSS_CONTACT.split(".")[0]) < page.index("Keeping and serving")

    def test_without_cooling_nothing_is_said_of_it(self, client: Client) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C")
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        quote = sent_make()
        client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
        assert HOLDING_CAUTION not in client.get(f"/q/{quote.pk}/").content.decode()

    def test_the_pdf_says_it(self) -> None:
        cooling_kitchen_make()
        document = quote_document(quote_id=sent_make(pdf=False).pk, at=NOW)
        pages = PdfReader(io.BytesIO(bytes(document.body))).pages
        wording = " ".join(" ".join(page.extract_text() for page in pages).split())
        assert WORDS in wording
        assert HOLDING_CAUTION in wording

    def test_the_order_says_it(self) -> None:
        cooling_kitchen_make()
        order = order_make()
        assert WORDS in signed_in("kitchen").get(reverse("order", args=[order.pk])).content.decode()


def sheet(name: str, client: Client | None = None) -> str:
    """Return a sheet of the event's day as the kitchen sees it, on one line."""
    answer = (client or signed_in("kitchen")).get(
        f"{reverse(f'sheet-{name}')}?first={EVENT.date()}&last={EVENT.date()}"
    )
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def tart_row() -> ColdRow:
    both = found()
    rows = cold_rows(both, tasks(both), {}, at=NOW)
    return next(row for row in rows if row.name == "Custard tart, 10 cm")


class TestColdRoomList:
    def test_the_longer_clock_is_the_least_and_in_by_follows(self) -> None:
        cooling_kitchen_make(**DEEP)
        order = order_make()
        row = tart_row()
        assert row.chill.least > 1200
        assert (row.chill.until_c, row.chill.check_c) == (5, 5)
        assert row.in_by == order.window_start - timedelta(minutes=75 + int(row.chill.least))
        assert "until its core is at 41 °F" in sheet("cold")

    def test_the_stated_night_is_named_where_it_is_longer(self) -> None:
        cooling_kitchen_make()
        order_make()
        row = tart_row()
        assert row.chill.least == 720
        assert row.chill.until_c is None
        page = sheet("cold")
        assert '12 h<span class="soft">as its steps state</span>' in page
        assert "Check by probe: core at 41 °F or colder before it leaves." in page
        assert band_words() in page

    def test_what_never_gets_cold_is_not_given_a_time(self) -> None:
        """Such a quote is not sent; but the cold room may have got warmer since."""
        cooling_kitchen_make()
        order_make()
        Station.objects.filter(code="cold-room").update(air_c=Decimal("4.5"))
        catalog_changed()
        assert tart_row().chill.never
        assert "may never get to 41 °F there" in sheet("cold")

    def test_without_cooling_it_says_what_it_said(self) -> None:
        cooling_kitchen_make()
        Product.objects.get(code=TART).steps.update(leaves_c=None)
        catalog_changed()
        order_make()
        page = sheet("cold")
        assert "Minimum times are those written in the steps." in page
        assert "as its steps state" not in page

    def test_a_rest_in_the_cold_counts_too(self) -> None:
        tart = cooling_kitchen_make(**DEEP)
        tart.steps.filter(kind="chill").update(kind="rest")
        catalog_changed()
        order_make()
        assert tart_row().chill.until_c == 5

    def test_more_orders_take_no_more_queries(self) -> None:
        cooling_kitchen_make()
        counts, client = [], signed_in("kitchen")
        cold = f"{reverse('sheet-cold')}?first={EVENT.date()}&last={EVENT.date()}"
        for _ in range(2):
            order_make()
            client.get(cold)  # what a Book is asked once is known afterwards
            with CaptureQueriesContext(connection) as queries:
                client.get(cold)
                client.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}")
            counts.append(len(queries))
        assert counts[0] == counts[1]


class TestHandOverList:
    def test_the_longest_time_out_runs_from_when_it_leaves(self) -> None:
        cooling_kitchen_make()
        order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
        # The window begins at 15:30, an hour and a quarter after it leaves.
        page = sheet("handover")
        assert "Leaves the cold 2:15 PM: eat or throw away before 6:15 PM" in page
        assert "Left the cold at ____" in page

    def test_in_a_refrigerated_vehicle_it_runs_from_the_set_up(self) -> None:
        cooling_kitchen_make(vehicle_cold=True)
        order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
        assert "Leaves the cold 2:50 PM: eat or throw away before 6:50 PM" in sheet("handover")

    def test_what_is_collected_runs_from_the_hand_over(self) -> None:
        cooling_kitchen_make()
        order_make(hand_over=Inquiry.HandOver.PICKUP)
        page = sheet("handover")
        assert "At most 4 h out of the cold in all" in page
        assert "from when it is handed over" not in page
        assert "Handed over at ________: throw away before ________" in page
        assert "Leaves the cold" not in page

    def test_where_the_rule_asks_for_less_than_a_time_the_sheet_does_too(self) -> None:
        cooling_kitchen_make(food_safety="au", degrees="C")
        order_make(hand_over=Inquiry.HandOver.PICKUP)
        page = sheet("handover")
        assert "out of the cold, from when it is handed over" not in page
        assert "Handed over at ________: throw away before ________" in page
        assert "at most, from when" not in page

    def test_a_limit_of_the_house_is_a_time_to_throw_away_by(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C", **LIMIT)
        order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
        assert "Leaves the cold 2:15 PM: eat or throw away before 4:15 PM" in sheet("handover")

    def test_what_its_text_holds_cold_is_thrown_away_by_the_limit_too(self) -> None:
        held_by_text_make(food_safety="eu", degrees="C", **LIMIT)
        order_make(minutes=Decimal(35), setup_minutes=Decimal(40))
        page = sheet("handover")
        assert "Leaves the cold 2:15 PM: eat or throw away before 4:15 PM" in page
        assert "no time out is set" not in page

    def test_a_line_sent_with_an_estimate_before_is_kept_cold_too(self) -> None:
        """Its text says when its inside is warm; it stays as it was sent, and the sheet frightens nobody."""
        cooling_kitchen_make(food_safety="eu", degrees="C")
        order_make(hand_over=Inquiry.HandOver.PICKUP)
        page = sheet("handover")
        assert "Keep it cold until it is served: no time out is set" in page
        assert "out of the cold at most, from when" not in page

    def test_an_estimate_is_not_a_time_to_throw_away_by(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C")
        order_make()
        page = sheet("handover")
        assert "Keep it cold until it is served: no time out is set" in page
        assert "thrown away" not in page
