"""A table that a guest cannot eat leaves only when the owner says it is settled; windows are offered by day."""

import re
from dataclasses import replace
from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.kitchen.trace_words import CROSS_CONTACT
from catalog.pantry.allergens import asked_of
from catalog.pantry.models import Ingredient
from catalog.pantry.presenters import label_words
from catalog.taxes.models import TaxCategory
from catalog.web.display import kitchen_display
from orders.documents.content import canonical, content_read
from orders.quotes.draft.allergens import extra_unchecked
from orders.quotes.draft.dessert_table import DessertTable, table_of
from orders.quotes.models import Quote, QuoteExtra
from orders.records.errors import AllergensUnchecked, WordsUnproven
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests import factories
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import save_edit
from tests.integration.orders.quotes.send.ticks import ticks
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
#: How it is known what the garland is free of.
BY_LABEL = "label:Flower garland"


def test_a_clash_with_the_guests_list_is_ticked_before_it_goes(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=("milk", "eggs", "wheat", "tree-nuts"))
    send = reverse("quote-send", args=[draft.pk])
    page = owner.get(send).content.decode()
    assert "it is settled with" in page
    refused = owner.post(send, {"unstated": ticks(draft)["unstated"]}).content.decode()
    assert "Not sent. Check the box that you have seen what guests cannot eat" in refused
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.DRAFT
    owner.post(send, ticks(draft))
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT


def test_a_refused_sending_says_so_at_the_top_and_leads_to_the_boxes(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=("tree-nuts",))
    send = reverse("quote-send", args=[draft.pk])
    assert "data-errors" not in owner.get(send).content.decode()
    page = owner.post(send, {"unstated": ticks(draft)["unstated"]}).content.decode()
    summary = page[page.index("data-errors") : page.index("What ")]
    assert "1 problem to fix" in summary
    assert '<a href="#allergies">Not sent. Check the box that you have seen what guests cannot eat' in summary
    both = owner.post(send, {}).content.decode()
    assert "2 problems to fix" in both
    assert '<a href="#unstated">Not sent. Check the box that you have seen' in both


def test_what_the_owner_ticks_is_in_the_quotes_record_with_the_desserts(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=("tree-nuts",))
    owner.post(reverse("quote-send", args=[draft.pk]), ticks(draft))
    entry = AuditEntry.objects.get(document="quote", document_pk=draft.pk, event="settle_needs")
    assert (entry.by, entry.at) == (factories.BY, factories.NOW)
    assert entry.params == {"products": ["Walnut sponge cake, two tiers"]}
    unkept = AuditEntry.objects.get(document="quote", document_pk=draft.pk, event="send_unstated")
    assert "Quince square" in unkept.params["products"]
    page = text(owner.get(reverse("quote", args=[draft.pk])))
    assert "allergies and diets settled with the customer" in page
    assert "sent without stating how it is kept" in page


def test_nothing_is_written_down_that_was_not_asked(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    owner.post(reverse("quote-send", args=[draft.pk]), ticks(draft))
    assert not AuditEntry.objects.filter(event="settle_needs").exists()


def test_without_a_clash_nothing_is_asked(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=(), asked_none=True)
    send = reverse("quote-send", args=[draft.pk])
    assert "it is settled with" not in owner.get(send).content.decode()
    owner.post(send, {"unstated": ticks(draft)["unstated"]})
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.SENT


def unanswered(code: str) -> None:
    """Make an ingredient one of earlier days: what it contains is known, and nothing else was asked."""
    Ingredient.objects.filter(code=code).update(allergen_answers={})
    catalog_changed()


def test_what_nobody_checked_goes_out_only_when_it_is_ticked_by_name(owner: Client) -> None:
    unanswered("saffron")
    draft = factories.draft_make(table=factories.table_make(), allergies=(), asked_none=True)
    send = reverse("quote-send", args=[draft.pk])
    page = owner.get(send).content.decode()
    assert "Allergens not checked yet." in page
    assert "Saffron (22 allergens)" in page
    seen = {"unstated": ticks(draft)["unstated"]}
    refused = owner.post(send, seen).content.decode()
    assert "Not sent. Answer for the ingredients of Saffron rice cream with quince, glass, or check" in refused
    # Another dessert's tick is none for this one.
    owner.post(send, {**seen, "unchecked": "custard-tart"})
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.DRAFT
    owner.post(send, {**seen, "unchecked": "rice-glass"})
    sent = Quote.objects.get(pk=draft.pk)
    assert sent.status == QuoteStatus.SENT
    entry = AuditEntry.objects.get(event="send", document="quote", document_pk=sent.pk)
    assert entry.params == {"unchecked": ["Saffron rice cream with quince, glass"]}


def test_the_service_refuses_it_too(owner: Client) -> None:
    unanswered("saffron")
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    with pytest.raises(AllergensUnchecked) as refusal:
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)
    assert refusal.value.params == {"products": ["Saffron rice cream with quince, glass"]}


def test_the_customer_reads_not_checked_yet_and_never_that_there_is_none(owner: Client) -> None:
    unanswered("saffron")
    draft = factories.draft_make(table=factories.table_make(), allergies=("sesame",))
    sent = quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unchecked=["rice-glass"])
    content = content_read(sent.content)
    assert canonical(content) == sent.content
    page = render_to_string("orders/quotes/content/table.html", {"content": content})
    assert "Other allergens not checked yet: ask us." in page
    assert "Saffron rice cream with quince, glass (not checked yet)" in page
    assert "No allergen of our list" not in page
    pdf = render_to_string("orders/quotes/send/pdf.html", {"content": content, "kitchen": None, "approval": None})
    assert "Other allergens not checked yet: ask us." in pdf


def test_none_is_said_only_of_what_was_checked() -> None:
    words = label_words((), (), (), "us")
    assert words == "None of the major allergens."
    # A content of earlier days does not say what was checked.
    assert label_words((), (), (), "", ask="ask us") == "Allergens not checked yet: ask us."
    assert label_words(("milk",), (), (), "", ask="ask us") == "Contains milk. Other allergens not checked yet: ask us."


def test_the_kitchens_own_words_about_traces_are_on_what_the_customer_gets(owner: Client) -> None:
    Kitchen.objects.update(cross_contact="We bake with walnuts every day.")
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    content = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content)
    for template in ("orders/quotes/content/table.html",):
        with kitchen_display(kitchen()):
            assert "We bake with walnuts every day." in render_to_string(template, {"content": content})


def test_the_standing_caution_always_follows_them_in_full() -> None:
    factories.kitchen_make(cross_contact="We bake with walnuts every day")
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    content = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content)
    assert content.cross_contact == f"We bake with walnuts every day. {CROSS_CONTACT}"
    # A content of earlier days has the kitchen's words alone: they stay stored so, and are shown with the caution.
    before = replace(content, cross_contact="We bake with walnuts every day.")
    for template in ("orders/quotes/content/table.html", "orders/mail/facts.html", "orders/mail/facts.txt"):
        shown = render_to_string(template, {"content": before})
        assert shown.count(CROSS_CONTACT) == 1, template


def test_words_about_traces_that_an_ingredient_belies_by_now_are_not_sent(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    Kitchen.objects.update(cross_contact="Our kitchen is free of nuts.")
    catalog_changed()
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "“free of nuts” is not so. It is in: Walnut" in page
    assert "Take these words out" in page
    with pytest.raises(WordsUnproven):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)


#: All that is asked of an extra but milk.
OTHERS = tuple(code for code in asked_of("us") if code != "milk")


def with_extra(**label: Any) -> DessertTable:
    """Return the usual table with one extra more."""
    table = factories.table_make()
    return replace(
        table, extras=(*table.extras, replace(factories.extra_make("Flower garland"), free_by=BY_LABEL, **label))
    )


def test_an_extra_is_asked_for_its_allergens_too(owner: Client) -> None:
    draft = factories.draft_make(table=with_extra(food=""), allergies=("milk",))
    with pytest.raises(AllergensUnchecked):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)
    place = f"extra-{len(with_extra().extras)}"
    content = content_read(
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unchecked=[place]).content
    )
    assert {dish.name: dish.serves for dish in (content.needs or ())[0].dishes}["Flower garland"] == "unchecked"
    page = render_to_string("orders/quotes/content/table.html", {"content": content})
    assert "Allergens not checked yet: ask us." in page


@pytest.mark.parametrize(
    ("label", "serves"),
    [
        ({"food": "none"}, None),
        ({"food": "checked", "free_of": asked_of("us")}, "free"),
        ({"food": "checked", "allergens": ("milk",), "free_of": OTHERS}, "contains"),
        ({"food": "checked", "may_contain": ("milk",), "free_of": OTHERS}, "may"),
    ],
)
def test_what_an_extra_contains_counts_among_the_desserts(
    owner: Client, label: dict[str, Any], serves: str | None
) -> None:
    draft = factories.draft_make(table=with_extra(**label), allergies=("milk",))
    content = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content)
    assert canonical(content) == canonical(content_read(canonical(content)))
    (need,) = content.needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}.get("Flower garland") == serves


def extra_row(**label: Any) -> dict[str, Any]:
    """Return a submitted table of one extra alone, with what is answered of its label."""
    form = {
        "lines-TOTAL_FORMS": "0",
        "lines-INITIAL_FORMS": "0",
        "extras-TOTAL_FORMS": "1",
        "extras-INITIAL_FORMS": "0",
        "extras-0-name": "Sugared violets",
        "extras-0-amount": "20",
        "extras-0-tax": str(TaxCategory.objects.get(code="service").pk),
    }
    return form | {f"extras-0-{name}": value for name, value in label.items()}


def test_ticked_allergens_of_an_extra_need_that_it_is_food_and_stay_as_entered(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make())
    answer = owner.post(reverse("quote-draft", args=[draft.pk]), extra_row(contains=["eggs"])).content.decode()
    assert "Allergens are checked: choose “food, or touches food”, or uncheck them." in answer
    assert re.search(r'name="extras-0-contains" value="eggs"[^>]* checked', answer)


def extra_saved(owner: Client, **label: Any) -> QuoteExtra:
    draft = factories.draft_make(table=factories.table_make())
    page, form = (
        reverse("inquiry", args=[draft.inquiry_id]),
        extra_row(food="checked", free_by="label:Sugared violets", **label) | {"do": "save"},
    )
    save_edit(owner, reverse("quote-draft", args=[draft.pk]), form, page=page)
    return QuoteExtra.objects.get(quote=draft)


def test_of_an_extra_only_what_is_ticked_is_free(owner: Client) -> None:
    extra = extra_saved(owner, contains=["eggs"], free_of=["milk"])
    assert (extra.allergens, extra.free_of) == (["eggs"], ["milk"])
    label = extra_unchecked(table_of(extra.quote).extras[0], "us")
    assert "wheat" in label
    assert "milk" not in label


def test_one_tick_says_that_it_is_free_of_the_rest(owner: Client) -> None:
    extra = extra_saved(owner, may_contain=["almonds"], all_free="on")
    assert set(extra.free_of) == set(asked_of("us")) - {"almonds"}
    page = owner.get(reverse("inquiry", args=[extra.quote.inquiry_id])).content.decode()
    assert re.search(r'name="extras-0-all_free"[^>]* checked', page)
    assert not re.search(r'name="extras-0-free_of"[^>]* checked', page)


def test_an_extra_that_is_food_with_nothing_ticked_is_free_of_nothing(owner: Client) -> None:
    extra = extra_saved(owner)
    assert (extra.food, extra.free_of) == ("checked", [])
    assert set(extra_unchecked(table_of(extra.quote).extras[0], "us")) == set(asked_of("us"))


def test_an_extra_cannot_be_free_of_what_it_contains(owner: Client) -> None:
    draft = factories.draft_make(table=factories.table_make())
    form = extra_row(food="checked", contains=["eggs"], free_of=["eggs", "milk"])
    answer = owner.post(reverse("quote-draft", args=[draft.pk]), form).content.decode()
    assert "It cannot both contain eggs and be free of it. Uncheck one of them." in answer
    assert re.search(r'name="extras-0-free_of" value="milk"[^>]* checked', answer)


def test_an_extra_whose_fish_nobody_named_says_so(owner: Client) -> None:
    others = tuple(code for code in asked_of("us") if code != "fish")
    draft = factories.draft_make(table=with_extra(food="checked", allergens=("fish",), free_of=others), allergies=())
    content = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content)
    page = render_to_string("orders/quotes/content/table.html", {"content": content})
    assert "Contains fish (species not named)." in page


def test_an_extra_with_egg_is_not_known_to_be_free_of_raw_egg(owner: Client) -> None:
    others = tuple(code for code in asked_of("us") if code != "eggs")
    table = with_extra(food="checked", allergens=("eggs",), free_of=others)
    draft = factories.draft_make(table=table, allergies=("no-raw-egg",))
    (need,) = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content).needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}["Flower garland"] != "free"


@pytest.mark.parametrize("diet", ["vegan", "vegetarian", "no-gelatin", "no-alcohol"])
def test_an_extra_that_was_asked_for_allergens_alone_suits_no_diet(owner: Client, diet: str) -> None:
    table = with_extra(food="checked", free_of=asked_of("us"))
    draft = factories.draft_make(table=table, allergies=(diet,))
    (need,) = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content).needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}["Flower garland"] == "unchecked"


def test_an_extra_answered_for_one_list_was_not_checked_for_what_another_asks(owner: Client) -> None:
    draft = factories.draft_make(table=with_extra(food="checked", free_of=asked_of("us")), allergies=("lupin",))
    Kitchen.objects.update(allergen_list="eu")
    catalog_changed()
    with pytest.raises(AllergensUnchecked):
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW)
    place = f"extra-{len(with_extra().extras)}"
    content = content_read(
        quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unchecked=[place]).content
    )
    (need,) = content.needs or ()
    assert {dish.name: dish.serves for dish in need.dishes}["Flower garland"] == "unchecked"
    page = render_to_string("orders/quotes/content/table.html", {"content": content})
    assert "Not checked yet for molluscs, celery, mustard, sulphur dioxide and sulphites and lupin: ask us." in page


def test_of_two_extras_of_one_name_neither_hides_the_other(owner: Client) -> None:
    table = with_extra(food="checked", allergens=("milk",), free_of=OTHERS)
    safe = replace(factories.extra_make("Flower garland"), food="checked", free_of=asked_of("us"), free_by=BY_LABEL)
    draft = factories.draft_make(table=replace(table, extras=(*table.extras, safe)), allergies=("milk",))
    (need,) = content_read(quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW).content).needs or ()
    assert [dish.serves for dish in need.dishes if dish.name == "Flower garland"] == ["contains", "free"]


def test_what_an_ingredient_answers_counts_on_the_line_whatever_it_is_called(owner: Client) -> None:
    Ingredient.objects.filter(code="saffron").update(allergen_answers={"milk": "contains", "alcohol": "contains"})
    catalog_changed()
    draft = factories.draft_make(table=factories.table_make(), allergies=())
    sent = quote_send_seen(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unchecked=["rice-glass"])
    glass = next(line for line in content_read(sent.content).lines if line.product == "rice-glass")
    assert "milk" in glass.allergens
    assert "alcohol" in glass.made_with
    page = render_to_string("orders/quotes/content/table.html", {"content": content_read(sent.content)})
    assert "Made with alcohol." in page


def test_an_extra_that_is_food_with_nothing_ticked_says_that_nothing_is_answered(owner: Client) -> None:
    draft = factories.draft_make(table=with_extra(food="checked"), allergies=())
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "goes out unchecked: no allergen is answered" in page
    assert "say whether it is food" not in page
