"""The sheet of an inquiry: its day, what the customer asked to be changed, figures, problems, and splitting."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.inquiries.services import inquiry_close
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.same_day import MOST, same_day
from orders.quotes.send.services import quote_revise
from orders.records.states import OrderStatus
from tests import factories
from tests.factories import BY, NOW
from tests.integration.orders.quotes.draft.test_draft_page import form_data, live, post
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def sheet(owner: Client, quote: Quote) -> str:
    return owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()


def part(page: str, begin: str, end: str) -> str:
    return page.partition(begin)[2].partition(end)[0]


class TestSameDay:
    def test_other_events_of_the_day_are_named_with_how_far_they_are(self, owner: Client, quote: Quote) -> None:
        factories.sent_make(title="Wedding of Lea and Tom")
        factories.inquiry_make(title="Board lunch", hand_over="pickup")
        factories.inquiry_make(title="The day after", window_start=quote.inquiry.window_start + timedelta(days=1))
        words = part(sheet(owner, quote), '<p class="same-day">', "</p>")
        assert "Same day:" in words
        assert "Wedding of Lea and Tom</a> (3:30\xa0PM, delivery, quote sent)" in words
        assert "Board lunch</a> (3:30\xa0PM, pickup at the kitchen, quote draft)" in words
        assert "The day after" not in words
        assert quote.inquiry.title not in words

    def test_an_order_counts_while_it_stands_and_a_closed_inquiry_does_not(self, owner: Client, quote: Quote) -> None:
        day = factories.EVENT.date()
        approved = factories.approved_make(title="Wedding of Lea and Tom")
        closed = factories.inquiry_make(title="Board lunch")
        inquiry_close(inquiry_id=closed.pk, reason="", by=BY, at=NOW)
        assert [one.inquiry.title for one in same_day(day, besides=quote.inquiry_id).events] == [
            "Wedding of Lea and Tom"
        ]
        assert "order confirmed" in part(sheet(owner, quote), '<p class="same-day">', "</p>")
        Order.objects.filter(quote=approved).update(
            status=OrderStatus.CANCELED, canceled_at=NOW, canceled_money=Order.CanceledMoney.KEEP
        )
        assert same_day(day, besides=quote.inquiry_id).events == ()

    def test_more_events_than_can_be_read_are_counted_in_the_same_queries(self, owner: Client, quote: Quote) -> None:
        for number in range(MOST + 2):
            factories.inquiry_make(title=f"Lunch {number}")
        with CaptureQueriesContext(connection) as caught:
            found = same_day(factories.EVENT.date(), besides=quote.inquiry_id)
        assert (len(found.events), found.more) == (MOST, 2)
        assert len(caught) <= 4
        assert "; 2 more" in sheet(owner, quote)

    def test_they_are_named_while_a_date_is_typed(self, owner: Client, quote: Quote) -> None:
        page = owner.get(reverse("inquiry-same-day"), {"day": factories.EVENT.date().isoformat()}).content.decode()
        assert quote.inquiry.title in page
        assert "<html" not in page
        mine = {"day": factories.EVENT.date().isoformat(), "besides": str(quote.inquiry_id)}
        assert quote.inquiry.title not in owner.get(reverse("inquiry-same-day"), mine).content.decode()
        assert owner.get(reverse("inquiry-same-day"), {"day": "no day"}).content.decode().strip() == ""

    def test_the_form_of_an_inquiry_names_them_without_a_script(self, owner: Client, quote: Quote) -> None:
        factories.inquiry_make(title="Board lunch")
        page = owner.get(reverse("inquiry-edit", args=[quote.inquiry_id])).content.decode()
        assert "Board lunch" in part(page, '<p class="same-day">', "</p>")


class TestChangeRequested:
    @pytest.fixture
    def asked(self, quote: Quote) -> Quote:
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        evidence = ApprovalEvidence()
        quote_ask_change(quote_id=quote.pk, text="Twelve more tartlets, please.", evidence=evidence, at=NOW)
        return quote

    def test_it_stands_on_the_sheet_and_beside_the_revision(self, owner: Client, asked: Quote) -> None:
        assert "Twelve more tartlets, please." in sheet(owner, asked)
        quote_revise(quote_id=asked.pk, by=BY, at=NOW)
        page = sheet(owner, asked)
        assert page.index("Twelve more tartlets, please.") < page.index('id="table"')
        assert f"{reverse('quote', args=[asked.pk])}#messages" in page

    def test_a_revision_that_is_sent_answers_it(self, owner: Client, asked: Quote) -> None:
        later = NOW + timedelta(minutes=5)
        revision = quote_revise(quote_id=asked.pk, by=BY, at=later)
        quote_send_seen(quote_id=revision.pk, by=BY, at=later)
        assert "Twelve more tartlets, please." not in sheet(owner, asked)
        assert Message.objects.count() == 1


class TestFigures:
    def test_total_per_guest_and_margin_against_the_floor_come_first(self, owner: Client, quote: Quote) -> None:
        page = sheet(owner, quote)
        beside = page.partition('id="draft-estimate"')[2]
        figures = part(beside, '<div class="figures">', "</dl>")
        assert all(word in figures for word in ("Total", "Per guest", "Margin", "floor"))
        assert beside.index('class="figures"') < beside.index('class="allergies') < beside.index('id="warnings"')

    def test_below_the_floor_is_said_in_words_and_is_a_problem_with_a_way_out(
        self, owner: Client, quote: Quote
    ) -> None:
        Kitchen.objects.update(floor_margin=Decimal("0.95"))
        catalog_changed()
        page = sheet(owner, quote)
        assert "below floor 95%" in page
        problems = part(page, '<section class="issues stop"', "</section>")
        assert "is below your floor of 95" in problems
        assert '<button form="table-form" name="do" value="what-if" class="plain">What if</button>' in problems

    def test_an_entry_that_the_figures_leave_out_is_a_problem_with_a_link_to_its_field(
        self, owner: Client, quote: Quote
    ) -> None:
        page = live(owner, quote, **{"lines-1-units": "100"}).content.decode()
        problems = part(page, '<section class="issues stop"', "</section>")
        assert "Product 2: Saffron rice cream with quince, glass is sold by the dozen. Enter 96 or 108." in problems
        assert 'href="#id_lines-1-units">Fix</a>' in problems
        uncounted = live(owner, quote, guests="", **{"lines-1-units": ""}).content.decode()
        assert "Enter the quantity of Saffron rice cream with quince, glass" in uncounted

    def test_while_a_row_is_left_out_no_figure_speaks_of_the_whole(self, owner: Client, quote: Quote) -> None:
        Inquiry.objects.update(budget_minor=10_000_000)
        whole = live(owner, quote).content.decode()
        assert "Within the budget" in whole
        assert "pieces for" in whole
        page = live(owner, quote, **{"lines-1-units": "100"}).content.decode()
        figures = part(page, '<div class="figures">', "</dl>")
        assert re.findall(r'class="figure"[^>]*>([^<]*)<', figures) == ["–", "–", "–"]
        assert "No total: 1 entry is not counted." in page
        spoken = ("Within the budget", "pieces for", "short", "Margin on products", 'class="sums"', "below floor")
        assert [words for words in spoken if words in page] == []

    def test_a_quantity_that_is_not_sold_offers_its_nearest_ones(self, owner: Client, quote: Quote) -> None:
        page = live(owner, quote, **{"lines-1-units": "100"}).content.decode()
        offered = re.findall(r'data-fill="id_lines-1-units" value="(\d+)" hidden>Use (\d+)<', page)
        assert offered == [("96", "96"), ("108", "108")]

    def test_splitting_counts_a_row_whose_quantity_was_wrong_and_waits_for_one_that_cannot_be_read(
        self, owner: Client, quote: Quote
    ) -> None:
        right = split(owner, quote)
        wrong = split(owner, quote, **{"lines-1-units": "100"})
        units = re.compile(r'name="lines-\d+-units"[^>]*value="(\d+)"|value="(\d+)"[^>]*name="lines-\d+-units"')
        assert units.findall(wrong) == units.findall(right) != []
        unread = split(owner, quote, **{"lines-1-share": "many"})
        assert "No total" in unread

    def test_saving_leads_to_the_top_of_the_page_where_the_message_is(self, owner: Client, quote: Quote) -> None:
        answer = post(owner, quote)
        assert answer["Location"] == reverse("inquiry", args=[quote.inquiry_id])
        page = sheet(owner, quote)
        assert f'action="{reverse("quote-draft", args=[quote.pk])}"' in page
        assert page.index("Saved at ") < page.index("<h1>")

    def test_recalculate_is_there_only_without_scripts(self, owner: Client, quote: Quote) -> None:
        page = sheet(owner, quote)
        outside = "".join(piece.partition("</noscript>")[2] for piece in page.split("<noscript>"))
        assert "Recalculate" in page
        assert "Recalculate" not in outside


class TestSplit:
    def test_a_split_while_typing_brings_the_quantities_and_the_figures(self, owner: Client, quote: Quote) -> None:
        page = split(owner, quote, guests="120")
        assert '<div id="lines-0-quantity" hx-swap-oob="true">' in page
        assert 'name="lines-0-units" value="120"' in page
        assert 'name="lines-1-units" value="108"' in page
        assert 'id="draft-estimate"' in page
        assert "<html" not in page
        assert [line.units for line in quote.lines.all()] == [78, 72, 60, 1]

    def test_a_split_says_that_it_was_done_and_to_what_it_was_rounded(self, owner: Client, quote: Quote) -> None:
        """Seen: 40 guests, 50 and 50 percent, and 36 and 48 pieces without a word."""
        page = split(owner, quote, guests="120")
        quantity = page.partition('<div id="lines-1-quantity"')[2].partition('id="lines-2-quantity"')[0]
        assert '<span class="soft">rounded to dozens</span>' in quantity
        assert "rounded" not in page.partition('<div id="lines-3-quantity"')[2].partition('id="lines-4-')[0]
        words = '<p class="note" role="status"><strong>Split by percentage.</strong> Each'
        assert words in page
        assert page.count("pieces for") == 1
        assert "Split by percentage.</strong>" in post(owner, quote, do="split", guests="120").content.decode()
        assert "Split by percentage.</strong>" not in live(owner, quote).content.decode()
        assert "Split by percentage.</strong>" not in split(owner, quote, guests="")

    def test_a_split_without_guests_says_what_is_missing(self, owner: Client, quote: Quote) -> None:
        page = split(owner, quote, guests="")
        assert "Enter the guests to split the pieces by percentage." in page
        assert 'href="#id_guests">Fix</a>' in page
        whole = post(owner, quote, do="split", guests="").content.decode()
        assert "Enter the guests to split the pieces by percentage." in whole

    def test_a_split_without_shares_asks_for_one(self, owner: Client, quote: Quote) -> None:
        shares = {f"lines-{place}-share": "" for place in range(4)}
        assert "Enter the share of at least one product, in percent." in split(owner, quote, **shares)


def split(owner: Client, quote: Quote, **changes: Any) -> str:
    address = reverse("quote-draft", args=[quote.pk])
    data = form_data(quote, do="split", **changes)
    return str(owner.post(address, data, headers={"HX-Request": "true"}).content.decode())


def test_the_version_of_the_rows_follows_the_rows_alone(owner: Client, quote: Quote) -> None:
    def version() -> str:
        return part(sheet(owner, quote), 'data-rows-version="', '"')

    before = version()
    Inquiry.objects.filter(pk=quote.inquiry_id).update(guests=90)
    assert version() == before
    post(owner, quote, **{"lines-1-units": "84"})
    assert version() != before


@pytest.mark.parametrize("units", ["5 dozen", "1", ""])
def test_a_dessert_whose_quantity_is_not_read_yet_is_eaten_all_the_same(
    owner: Client, quote: Quote, units: str
) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(allergies=["walnuts"])
    saved = {"lines-0-share": "", "lines-1-share": "", "lines-2-share": "", "lines-3-share": "", "guests": ""}
    page = post(owner, quote, do="estimate", **saved, **{"lines-3-units": units}).content.decode()
    about = page.partition('class="allergies')[2].partition("</div>")[0]
    assert "Walnut sponge cake, two tiers contains it" in about


class TestRemovedRows:
    def removed(self, owner: Client, quote: Quote) -> str:
        post(owner, quote, **{"lines-0-DELETE": "on"})
        page = sheet(owner, quote)
        assert "Removed: Baked custard tart" in page or "Removed:" in page
        found = re.search(r'action="([^"]*/removed/[^"]*)"', page)
        assert found is not None
        return found.group(1)

    def test_a_removed_product_comes_back_at_its_place(self, owner: Client, quote: Quote) -> None:
        before = list(quote.lines.values_list("product__code", "units", "share", "unit_price_minor"))
        address = self.removed(owner, quote)
        assert quote.lines.count() == len(before) - 1
        page = owner.post(address, follow=True).content.decode()
        assert "The removed rows are restored." in page
        assert list(quote.lines.values_list("product__code", "units", "share", "unit_price_minor")) == before
        again = owner.post(address, follow=True).content.decode()
        assert "The removed rows are restored." not in again
        assert quote.lines.count() == len(before)

    def test_a_quote_that_was_sent_meanwhile_stays_as_it_is(self, owner: Client, quote: Quote) -> None:
        address = self.removed(owner, quote)
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        left = quote.lines.count()
        assert owner.post(address, follow=True).status_code == 200
        assert quote.lines.count() == left


class TestPagesOfTheQuote:
    @pytest.mark.parametrize(
        ("do", "page"),
        [
            ("next", "quote-send"),
            ("why", "quote-price-check"),
            ("what-if", "quote-price-check"),
            ("terms", "quote-terms"),
        ],
    )
    def test_whoever_opens_one_from_the_sheet_saves_what_is_entered(
        self, owner: Client, quote: Quote, do: str, page: str
    ) -> None:
        answer = post(owner, quote, do=do, **{"lines-1-units": "84"})
        assert answer.url.partition("#")[0] == reverse(page, args=[quote.pk])
        assert quote.lines.get(position=1).units == 84

    def test_what_cannot_be_saved_stays_on_the_sheet(self, owner: Client, quote: Quote) -> None:
        answer = post(owner, quote, do="why", **{"lines-1-units": "some"})
        assert answer.status_code == 200
        assert 'value="some"' in answer.content.decode()

    def test_no_link_leads_past_what_is_entered(self, owner: Client, quote: Quote) -> None:
        page = sheet(owner, quote)
        for name in ("quote-send", "quote-price-check", "quote-terms"):
            assert f'href="{reverse(name, args=[quote.pk])}' not in page
        for words in ("Why this price", "Why this price and what if", "Terms and note"):
            assert re.search(rf'<button form="table-form" name="do" value="[a-z]+" [^>]*>{words}</button>', page)
