"""A quote gives the allergen information in writing and says so, by the rule of its kitchen; documents repeat it."""

import io
import json

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from orders.approvals.links import link_create
from orders.documents.content import canonical, content_read, sha256_of
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from tests.factories import EVENT, NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
NOTICE = (
    "Here is what we know of the allergens in each dessert, in writing, before you order, as Regulation "
    "(EU) No 1169/2011 requires. You get it again with the desserts."
)
IN_FRANCE = {"food_safety": "eu", "country": "FR"}
AGAIN = "Give the customer this list of allergens in writing again"


def hand_over_sheet(cook: Client) -> str:
    return text(cook.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))


class TestContent:
    def test_it_is_written_by_the_rule_and_the_country_of_the_kitchen(self) -> None:
        kitchen_make(**IN_FRANCE)
        assert content_read(sent_make().content).allergen_notice == NOTICE

    def test_what_was_sent_stays_when_the_rule_changes(self) -> None:
        kitchen_make(**IN_FRANCE)
        quote = sent_make()
        Kitchen.objects.update(food_safety="us", country="US")
        stored = Quote.objects.get(pk=quote.pk)
        assert content_read(stored.content).allergen_notice == NOTICE
        assert sha256_of(canonical(content_read(stored.content))) == stored.content_sha256

    def test_a_content_from_before_reads_back_and_keeps_its_text_and_hash(self) -> None:
        kitchen_make()
        data = json.loads(sent_make().content)
        del data["allergen_notice"]
        before = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        read_back = content_read(before)
        assert read_back.allergen_notice == ""
        assert canonical(read_back) == before


class TestShown:
    def test_the_customers_page_says_it(self, client: Client) -> None:
        kitchen_make(**IN_FRANCE)
        cache.clear()
        quote = sent_make()
        client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
        assert NOTICE in text(client.get(f"/q/{quote.pk}/"))

    def test_the_pdf_says_it(self) -> None:
        kitchen_make(**IN_FRANCE)
        document = quote_document(quote_id=sent_make(pdf=False).pk, at=NOW)
        pages = PdfReader(io.BytesIO(bytes(document.body))).pages
        assert NOTICE in " ".join(" ".join(page.extract_text() for page in pages).split())

    def test_the_order_says_it_and_the_crew_gives_it_again_where_the_law_asks(self) -> None:
        kitchen_make(**IN_FRANCE)
        order, cook = order_make(), signed_in("kitchen")
        assert NOTICE in text(cook.get(reverse("order", args=[order.pk])))
        assert AGAIN in hand_over_sheet(cook)
        Kitchen.objects.update(food_safety="us", country="US")
        assert AGAIN not in hand_over_sheet(cook)

    def test_what_changed_since_is_not_given_by_the_pdf(self) -> None:
        kitchen_make(**IN_FRANCE)
        order_make()
        cook = signed_in("kitchen")
        assert "the quote’s PDF or a copy of it" in hand_over_sheet(cook)
        Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
        catalog_changed()
        sheet = hand_over_sheet(cook)
        assert AGAIN in sheet
        assert "as this page says it by now: the quote’s PDF is out of date." in sheet
        assert "the quote’s PDF or a copy of it" not in sheet

    def test_the_owner_reads_on_the_profile_what_is_owed_and_where_it_stands(self) -> None:
        kitchen_make(food_safety="uk-en", country="GB")
        wording = text(signed_in("owner").get(reverse("kitchen-profile")))
        assert "Information on the fourteen allergens is owed for food made to order" in wording
        assert "SI 2014/1855 regulation 5 and its parallels, by the Food Standards Agency’s decision tool." in wording
        assert "before an order by telephone or web is concluded, and again with the delivery" in wording
        assert "That is advice, not law." in wording
