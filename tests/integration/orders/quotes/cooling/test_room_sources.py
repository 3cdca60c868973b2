"""A tick of "safe at room temperature" on what holds milk, egg, cream, gelatin or custard counts only with its source.

Whether a food needs time/temperature control for safety is for the US Food Code a matter of its water activity and pH
(2022, 1-201.10(B), tables A and B), not of somebody's word; read in state rules that copy it (25 Texas Administrative
Code 228.2(144)).
"""

import re
from fractions import Fraction
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.selectors import products_unsaid
from catalog.pantry.models import Ingredient
from catalog.products.models import Fill, Product
from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.perishables import room_safe, stored_perishables, unsourced
from catalog.records.presenters import perishables_words
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import cooling_marks
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.cooling.perishables import room_holding
from orders.quotes.cooling.selectors import Item, broken, not_judged
from orders.quotes.send.services import quote_send
from orders.records.cooling_errors import SourceUnshown
from orders.records.errors import CoolingRuleBroken, KitchenMustCheck, RoomHoldingUnseen
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests import factories
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import override_make
from tests.factories import BY, NOW, draft_make, line_make, pdf_stored, table_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.orders.builders import order_make
from tests.integration.orders.quotes.cooling.drafts import approve
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import holding_seen, quote_send_seen

pytestmark = pytest.mark.django_db
TART = "custard-tart"
UNITS = {TART: 24}
SOURCE = "Water activity 0.61 at 25 °C, Alder laboratory, report 7 of 2026"


def ticked(*codes: str, source: str = "") -> None:
    Recipe.objects.filter(code__in=codes).update(shelf_stable=True, shelf_stable_source=source)
    catalog_changed()


def cold_mixed() -> None:
    """The small kitchen: nothing is made hot, and nobody says how its custard tart is kept."""
    factories.kitchen_make()


def hot_unanswered() -> Recipe:
    """A custard that is boiled, and of which nobody says how it cools."""
    return batch_kitchen_make(leaves_c=None, vessel=None)


def drafted() -> Any:
    return draft_make(table=table_make(lines=(line_make(TART, 24),), extras=()))


def page(address: str, who: str = "owner", **query: str) -> str:
    client = Client()
    client.force_login(User.objects.filter(username=who).first() or factories.user_make(who, name=who))
    return " ".join(client.get(address, query).content.decode().split())


class TestTheTick:
    def test_counts_without_a_source_where_nothing_in_it_asks_for_the_cold(self) -> None:
        cold_mixed()
        ticked("quince")
        book = book_current()
        assert unsourced(book.recipe("quince"), book) == ()
        assert room_safe(book.recipe("quince"), book)

    def test_counts_only_with_a_source_where_milk_or_egg_is_in_it(self) -> None:
        cold_mixed()
        ticked("custard")
        book = book_current()
        assert {"milk", "egg", "custard"} <= set(unsourced(book.recipe("custard"), book))
        assert not room_safe(book.recipe("custard"), book)
        ticked("custard", source=SOURCE)
        book = book_current()
        assert room_safe(book.recipe("custard"), book)

    def test_dried_egg_white_is_egg_by_its_allergen_alone(self) -> None:
        cold_mixed()
        Ingredient.objects.filter(recipe_lines__recipe__code="quince").update(
            name="Albumen", allergens=[], allergen_answers={"eggs": "contains", "milk": "free"}
        )
        ticked("quince")
        book = book_current()
        assert unsourced(book.recipe("quince"), book) == ("egg",)

    @pytest.mark.parametrize(
        ("answers", "held"),
        [
            ({}, ("milk_unchecked", "egg_unchecked")),
            ({"milk": "free"}, ("egg_unchecked",)),
            ({"milk": "contains"}, ("milk", "egg_unchecked")),
            ({"milk": "may", "eggs": "free"}, ()),
        ],
    )
    def test_what_nobody_checked_for_milk_or_egg_is_not_free_of_it(
        self, answers: dict[str, str], held: tuple[str, ...]
    ) -> None:
        cold_mixed()
        Ingredient.objects.filter(recipe_lines__recipe__code="quince").update(
            name="Glaze powder", allergens=[], allergen_answers=answers
        )
        ticked("quince")
        book = book_current()
        assert unsourced(book.recipe("quince"), book) == held
        quince = Recipe.objects.get(code="quince")
        assert stored_perishables(quince.pk, quince.name) == held
        assert room_safe(book.recipe("quince"), book) == (not held)

    def test_the_words_name_what_was_not_checked(self) -> None:
        assert perishables_words(["milk", "egg_unchecked"]) == "milk and an ingredient not checked for egg"
        assert perishables_words(["custard", "milk_unchecked", "egg_unchecked"]) == (
            "custard and an ingredient not checked for milk or egg"
        )

    def test_what_is_in_a_recipe_inside_it_counts(self) -> None:
        cold_mixed()
        RecipeLine.objects.create(
            recipe=Recipe.objects.get(code="quince"), component=Recipe.objects.get(code="custard"), amount="100 g"
        )
        ticked("custard", source=SOURCE)
        ticked("quince")
        book = book_current()
        assert "milk" in unsourced(book.recipe("quince"), book)
        quince = Recipe.objects.get(code="quince")
        assert stored_perishables(quince.pk, quince.name) == unsourced(book.recipe("quince"), book)

    @pytest.mark.parametrize("source", ["me", "I", "owner", "n/a", ".", "Maren", "it is so", "12345 67890 1234"])
    def test_what_says_neither_who_nor_by_what_is_no_source(self, source: str) -> None:
        cold_mixed()
        ticked("custard", source=source)
        book = book_current()
        assert "milk" in unsourced(book.recipe("custard"), book)
        assert not room_safe(book.recipe("custard"), book)
        shown = page(reverse("recipe", args=[Recipe.objects.get(code="custard").pk]))
        assert "Source missing." in shown


class TestTheQuote:
    def test_a_hot_batch_is_asked_for_again(self) -> None:
        hot_unanswered()
        ticked("custard", "paste")
        batches = batch_colds([("custard", Fraction(1000))], book_current())
        assert [one.missing and one.missing.reason.code for one in batches] == ["no_source"]
        ticked("custard", "paste", source=SOURCE)
        assert batch_colds([("custard", Fraction(1000))], book_current()) == []

    @pytest.mark.parametrize(
        ("kitchen", "name"), [(cold_mixed, "Custard tart, 10 cm"), (hot_unanswered, "Baked custard")]
    )
    def test_the_review_names_the_product_or_batch_and_asks_for_the_source(self, kitchen: Any, name: str) -> None:
        kitchen()
        ticked("custard", "paste")
        quote = drafted()
        shown = page(reverse("quote-send", args=[quote.pk]))
        assert name in shown
        assert re.search("Enter under “Source” of (Baked custard|Sweet paste) who says so and by what", shown)
        with refused(CoolingRuleBroken, match=name):
            quote_send(quote_id=quote.pk, by=BY, at=NOW)
        quote.refresh_from_db()
        assert quote.status == QuoteStatus.DRAFT

    @pytest.mark.parametrize("kitchen", [cold_mixed, hot_unanswered])
    def test_a_source_or_a_record_lets_it_go(self, kitchen: Any) -> None:
        kitchen()
        ticked("custard", "paste")
        override_make(quote := drafted())
        assert quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).status == QuoteStatus.SENT
        ticked("custard", "paste", source=SOURCE)
        assert broken(UNITS, book_current()) == ()
        assert quote_send_seen(quote_id=drafted().pk, by=BY, at=NOW).status == QuoteStatus.SENT

    def test_it_stops_and_is_not_named_a_second_time(self) -> None:
        cold_mixed()
        ticked("custard", "paste")
        (one,) = broken(UNITS, book_current())
        assert (one.item.kind, one.why) == ("product", "no_source")
        assert not_judged(UNITS, book_current()) == ()

    def test_a_product_that_is_held_cold_leans_on_no_tick(self) -> None:
        cold_mixed()
        ticked("custard", "paste")
        Product.objects.filter(code=TART).update(holding="Keep refrigerated until served.")
        catalog_changed()
        assert broken(UNITS, book_current()) == ()

    def test_what_no_source_would_answer_is_asked_as_before(self) -> None:
        hot_unanswered()
        Product.objects.get(code=TART).steps.update(leaves_c=None, kind="bake")
        ticked("paste")
        unsaid = products_unsaid([TART], book_current())[TART]
        assert unsaid.reason.code == "leaves_not_said"
        ticked("paste", "custard")
        assert products_unsaid([TART], book_current())[TART].reason.code == "no_source"

    def test_nobody_approves_what_was_sent_before_the_source_went(self) -> None:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        quote = pdf_stored(quote_send_seen(quote_id=drafted().pk, by=BY, at=NOW))
        ticked("custard", "paste")
        with refused(KitchenMustCheck, match="the kitchen"):
            approve(quote)


class TestSending:
    """What is kept at room temperature by a source alone is acknowledged by name before it goes."""

    def test_it_is_asked_for_by_name_and_written_down(self) -> None:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        quote = drafted()
        shown = page(reverse("quote-send", args=[quote.pk]))
        assert f"I have seen that Custard tart, 10 cm is kept at room temperature: source {SOURCE}" in shown
        assert "nothing says how" not in shown
        with refused(RoomHoldingUnseen, match="Custard tart, 10 cm: kept at room temperature, by its source"):
            quote_send(quote_id=quote.pk, by=BY, at=NOW)
        assert quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).status == QuoteStatus.SENT
        entry = AuditEntry.objects.get(document="quote", document_pk=quote.pk, event="send_at_room")
        assert entry.params["products"] == [["Custard tart, 10 cm", [SOURCE]]]
        assert f"Custard tart, 10 cm: source {SOURCE}" in page(reverse("quote", args=[quote.pk]))

    def test_what_nobody_checked_for_milk_or_egg_is_asked_for_by_name_too(self) -> None:
        cold_mixed()
        Fill.objects.filter(product__code="quince-square").exclude(recipe__code="quince").delete()
        ticked("quince", source=SOURCE)
        # Nothing in it is known to hold milk or egg; that of one ingredient nobody knows.
        Ingredient.objects.filter(code="sugar").update(allergen_answers={}, allergens=[])
        catalog_changed()
        quote = draft_make(table=table_make(lines=(line_make("quince-square", 24),), extras=()))
        shown = page(reverse("quote-send", args=[quote.pk]))
        assert "(an ingredient not checked for milk or egg) is kept at room temperature" in shown
        assert "I have seen that Quince square" in shown

    def test_another_source_is_asked_for_anew(self) -> None:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        quote = drafted()
        seen = holding_seen(quote.pk)
        ticked("custard", "paste", source="Letter of the county health department, May 12, 2026")
        with refused(RoomHoldingUnseen, match="Custard tart"):
            quote_send(quote_id=quote.pk, by=BY, at=NOW, unstated_seen=seen)

    @pytest.mark.parametrize(
        ("source", "why"),
        [
            ("My grandmother made it so in 1974", "Guesses, experience and tradition show nothing about it."),
            ("Water activity 0.93, Alder laboratory, May 2026", "too high to count by itself"),
            ("Letter of the county health department", "It takes one of these"),
        ],
    )
    def test_older_words_that_show_nothing_are_asked_again(self, source: str, why: str) -> None:
        cold_mixed()
        ticked("custard", "paste", source=source)
        quote = drafted()
        shown = page(reverse("quote-send", args=[quote.pk]))
        assert "Baked custard counts as safe at room temperature, and its source" in shown
        assert why in shown
        assert reverse("recipe-edit", args=[Recipe.objects.get(code="custard").pk]) in shown
        panel = page(reverse("inquiry", args=[quote.inquiry_id]))
        assert "Baked custard counts as safe at room temperature, and its source" in panel
        assert why in panel
        with refused(SourceUnshown, match="does not show it"):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)

    def test_the_customer_reads_what_it_rests_on(self) -> None:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        Product.objects.filter(code=TART).update(holding="Keep it dry.")
        catalog_changed()
        quote = quote_send_seen(quote_id=drafted().pk, by=BY, at=NOW)
        held = next(line.holding for line in content_read(quote.content).lines if line.product == TART)
        assert held == "Safe at room temperature, by a measured water activity of 0.61.\nKeep it dry."
        assert not AuditEntry.objects.filter(event="holding_read").exists()

    @pytest.mark.parametrize("facts", [{"holding": "Keep refrigerated until served."}])
    def test_what_is_held_cold_leans_on_no_source(self, facts: dict[str, str]) -> None:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        Product.objects.filter(code=TART).update(**facts)
        catalog_changed()
        assert room_holding([TART], {}, book_current()) == ()
        assert quote_send(quote_id=drafted().pk, by=BY, at=NOW).status == QuoteStatus.SENT


class TestSheets:
    @pytest.fixture
    def order(self) -> Order:
        cold_mixed()
        ticked("custard", "paste", source=SOURCE)
        order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
        return Order.objects.prefetch_related("lines__product").latest("pk")

    def test_they_mark_it_once_the_source_is_gone(self, order: Order) -> None:
        assert cooling_marks([order]) == {}
        ticked("custard", "paste")
        mark = cooling_marks([order])[order.pk][Item("product", Product.objects.get(code=TART).pk)]
        assert mark.state == "owed"
        assert mark_shown(mark).sentence.startswith("Entered as safe at room temperature without a source")

    def test_the_sheets_of_the_kitchen_show_the_source(self, order: Order) -> None:
        day = order.window_start.date().isoformat()
        for name in ("sheet-prep", "sheet-cold", "sheet-recipes"):
            assert SOURCE in page(reverse(name), "kitchen", first=day, last=day), name


class TestAClaimThatWasTakenBack:
    def test_the_review_says_that_the_recipe_was_changed_since(self) -> None:
        cold_mixed()
        ticked("custard", source=SOURCE)
        quote = drafted()
        assert "Changed since." not in page(reverse("quote-send", args=[quote.pk]))
        Recipe.objects.filter(code="custard").update(shelf_stable=False)
        catalog_changed()
        shown = page(reverse("quote-send", args=[quote.pk]))
        assert "Baked custard was recorded as safe at room temperature and was changed since" in shown


class TestTheForm:
    def owner(self) -> Client:
        cold_mixed()
        return signed_in("owner")

    def form_data(self, **facts: str) -> dict[str, Any]:
        return recipe_form_data([("1 kg", "Granulated sugar"), ("200 g", "Baked custard")], **facts)

    def test_a_tick_without_a_source_is_refused_with_the_field_and_the_fix_and_nothing_is_lost(self) -> None:
        client = self.owner()
        answer = client.post(reverse("recipe-new"), self.form_data(shelf_stable="on", note="Dry it twice"))
        shown = " ".join(answer.content.decode().split())
        assert not Recipe.objects.filter(name="Nib brittle").exists()
        assert "Enter under “Source” what shows that it is safe at room temperature" in shown
        assert "shelf_stable_source" in answer.context["editor"].form.errors
        assert "Dry it twice" in shown
        assert answer.context["editor"].form["shelf_stable"].value()

    def test_me_is_refused_with_what_a_source_is(self) -> None:
        client = self.owner()
        answer = client.post(reverse("recipe-new"), self.form_data(shelf_stable="on", shelf_stable_source="me"))
        shown = " ".join(answer.content.decode().split())
        assert not Recipe.objects.filter(name="Nib brittle").exists()
        assert "and its source does not show that it is safe at room temperature" in shown
        assert "It takes one of these: a measured water activity or pH" in shown

    def test_with_a_source_it_is_saved_and_shown(self) -> None:
        client = self.owner()
        client.post(reverse("recipe-new"), self.form_data(shelf_stable="on", shelf_stable_source=SOURCE))
        recipe = Recipe.objects.get(name="Nib brittle")
        assert recipe.shelf_stable_source == SOURCE
        assert f"Source: {SOURCE}" in page(reverse("recipe", args=[recipe.pk]))

    def test_sugar_that_nobody_checked_is_asked_for_its_source(self) -> None:
        client = self.owner()
        Ingredient.objects.filter(code="sugar").update(allergen_answers={})
        data = recipe_form_data([("1 kg", "Granulated sugar")], shelf_stable="on")
        shown = client.post(reverse("recipe-new"), data).content.decode()
        assert not Recipe.objects.filter(name="Nib brittle").exists()
        assert "Nib brittle holds an ingredient not checked for milk or egg." in shown

    def test_nothing_is_asked_of_sugar(self) -> None:
        client = self.owner()
        client.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")], shelf_stable="on"))
        assert Recipe.objects.get(name="Nib brittle").shelf_stable

    def test_the_page_of_an_old_tick_says_that_it_does_not_count(self) -> None:
        cold_mixed()
        ticked("custard")
        shown = page(reverse("recipe", args=[Recipe.objects.get(code="custard").pk]))
        assert "Source missing." in shown
        assert "The check mark does not count" in shown
