"""Words and names that may speak of a need, or deny what is in a dessert, are read by name before a quote goes."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from orders.inquiries.models import Customer, Inquiry
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from orders.records.need_errors import TextUnread
from orders.records.states import QuoteStatus
from tests import factories
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def drafted(**facts: object) -> Quote:
    return factories.draft_make(table=factories.table_make(), **facts)


def asked(owner: Client, draft: Quote) -> str:
    """Return what the page asks; the service refuses it too, and sends once it is read."""
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    with pytest.raises(TextUnread):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=())
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW).status == QuoteStatus.SENT
    return page


def test_the_event_name_is_read_for_needs(owner: Client) -> None:
    draft = drafted(title="Peanut-allergic groom's wedding")
    assert "No guest has an allergy or a diet by the words “Peanut-allergic groom's wedding”" in asked(owner, draft)
    assert AuditEntry.objects.get(event="title_read").note == "Peanut-allergic groom's wedding"


def test_the_kitchens_own_note_is_read_for_needs(owner: Client) -> None:
    draft = drafted(note="Called again: the bride's aunt is coeliac.", allergies=())
    Inquiry.objects.filter(pk=draft.inquiry_id).update(asked_none_at=NOW, asked_none_by=BY)
    assert "the bride's aunt is coeliac.” names gluten (celiac) for 1 guest." in asked(owner, draft)


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("note", "The baby goes blue from corn."),
        ("note", "A hypoallergenic formula for the little one."),
        ("note", "no cinnamon for Rosa"),
        ("note", "Hijo no puede comer maíz"),
        ("title", "Rosh Hashanah"),
        ("title", "Iftar at the Calder House"),
    ],
)
def test_beside_asked_and_none_named_they_are_asked_by_name(owner: Client, column: str, words: str) -> None:
    draft = drafted(allergies=(), **{column: words})
    Inquiry.objects.filter(pk=draft.inquiry_id).update(asked_none_at=NOW, asked_none_by=BY)
    assert words in asked(owner, draft)
    assert AuditEntry.objects.filter(event__endswith="_read", note=words).count() == 1


@pytest.mark.parametrize(
    ("place", "column", "words", "where"),
    [
        ("place", "place", "Calder House, kitchen door. Tell them: 2 coeliac, 1 walnut guest", "Place."),
        ("customer_name", "customer__name", "Bea Fea (walnut allergy!)", "Customer’s name."),
        ("customer_note", "customer__note", "Her nephew is coeliac.", "Note about the customer."),
        ("customer_address", "customer__address", "Mill Lane 3 (ask for the 2 coeliacs)", "Customer’s address."),
    ],
)
def test_so_are_the_place_and_what_is_entered_of_the_customer(
    owner: Client, place: str, column: str, words: str, where: str
) -> None:
    draft = drafted(allergies=("sesame",))
    if column.startswith("customer__"):
        Customer.objects.filter(inquiries=draft.inquiry_id).update(**{column.removeprefix("customer__"): words})
    else:
        Inquiry.objects.filter(pk=draft.inquiry_id).update(**{column: words})
    found = asked(owner, Quote.objects.get(pk=draft.pk))
    assert f"{where} “{words}”" in found
    assert AuditEntry.objects.get(event=f"{place}_read").note == words


def test_a_customers_name_that_is_a_food_too_is_no_need(owner: Client) -> None:
    draft = drafted(allergies=("sesame",))
    Customer.objects.filter(inquiries=draft.inquiry_id).update(name="Ida Almond")
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=()).status == QuoteStatus.SENT


def test_the_form_has_what_the_event_name_and_the_note_name_filled_in(owner: Client) -> None:
    draft = drafted(title="Peanut-allergic groom's wedding", note="Now 3 coeliacs.", allergies=("gluten",))
    Inquiry.objects.filter(pk=draft.inquiry_id).update(need_counts={"gluten": 2})
    edit = reverse("inquiry-edit", args=[draft.inquiry_id])
    page = owner.get(f"{edit}?needs=note")
    assert "Event name. “Peanut-allergic groom's wedding” What it names is checked below" in text(page)
    owner.post(edit, edit_form_of(page).data())
    found = Inquiry.objects.get(pk=draft.inquiry_id)
    assert set(found.allergies) == {"gluten", "peanuts"}
    assert found.need_counts == {"gluten": 2, "peanuts": 1}, "the groom is one guest; a recorded number stays"


def test_a_need_that_is_recorded_is_not_asked_again(owner: Client) -> None:
    draft = drafted(note="One guest cannot have tree nuts.", title="Party")
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=()).status == QuoteStatus.SENT


@pytest.mark.parametrize(
    ("model", "code", "name", "words"),
    [
        (Product, "custard-tart", "Peanut brittle bites", "The product “Peanut brittle bites” names peanuts"),
        (Ingredient, "sugar", "Erdnusscreme", "The ingredient “Erdnusscreme” in"),
        (Ingredient, "sugar", "Sesam", "there is no sesame in it"),
    ],
)
def test_a_name_that_its_label_denies_is_named(
    owner: Client, model: type[Product] | type[Ingredient], code: str, name: str, words: str
) -> None:
    draft = drafted()
    model.objects.filter(code=code).update(name=name)
    catalog_changed()
    assert words in asked(owner, draft)
    assert {entry.note for entry in AuditEntry.objects.filter(event="named_read")} == {name}


@pytest.mark.parametrize(
    ("code", "name", "free", "words"),
    [
        ("saffron", "Pignoli", "pine-nuts", "there is no pine nuts in it"),
        ("saffron", "Topfen", "milk", "there is no milk in it"),
        ("saffron", "Isinglass", "fish", "Isinglass only has the name: there is no fish"),
        ("saffron", "Marshmallows", "gelatin", "there is no gelatin in it"),
        ("saffron", "Limoncello", "alcohol", "there is no alcohol in it"),
    ],
)
def test_a_food_made_of_what_its_answer_denies_is_asked_about(
    owner: Client, code: str, name: str, free: str, words: str
) -> None:
    draft = drafted()
    row = Ingredient.objects.get(code=code)
    row.name, row.allergen_answers = name, {**row.allergen_answers, free: "free"}
    row.save()
    catalog_changed()
    assert words in asked(owner, draft)


def test_what_never_touches_food_and_has_a_name_of_food_is_asked_about(owner: Client) -> None:
    draft = drafted()
    cake = Product.objects.get(code="walnut-cake")
    pack = cake.packaging.select_related("ingredient").first()
    assert pack is not None
    Ingredient.objects.filter(pk=pack.ingredient_id).update(name="Edible wafer cup", touches_food=False)
    catalog_changed()
    assert "Edible wafer cup is not eaten and touches no food, whatever its name is" in asked(owner, draft)


CLAIMS = (
    "Contains neither nuts nor gluten",
    "0 % gluten",
    "Never any nuts in these. Hazelnuts left out.",
    "Fit for people with celiac disease",
    "Ne contient pas de noix",
    "All allergens removed.",
    "Dein Zöliakie-Gast kann alles essen.",
    "Your celiac cousin will be fine with every one of these, and there is not a nut in sight.",
)


@pytest.mark.parametrize("claim", CLAIMS)
def test_what_may_be_a_claim_never_goes_unseen(owner: Client, claim: str) -> None:
    draft = drafted()
    Product.objects.filter(code="walnut-cake").update(description=claim)
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "hazelnuts", "wheat"], allergen_answers={})
    catalog_changed()
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "promises nobody that it is free of what is in it" in page or "Not ready to send." in page


def test_a_note_that_says_what_is_fine_for_a_guest_is_asked_about(owner: Client) -> None:
    draft = drafted(allergies=("walnuts",))
    Quote.objects.filter(pk=draft.pk).update(note="All of it is fine for Luc.")
    page = asked(owner, draft)
    assert "Our note: “All of it is fine for Luc.” What it says about food is true for walnuts. Not known" in page


@pytest.mark.parametrize(
    "words",
    [
        "Don't worry about Ella, she can have all three.",
        "All safe as we discussed.",
        "Alle Gäste können alles essen.",
        "Our bakers work far from anything that moos.",
        "Vos invités peuvent tout manger.",
    ],
)
def test_what_promises_is_asked_about_where_nobody_is_known_to_have_a_need(owner: Client, words: str) -> None:
    """Seen: a note that promises went out unasked, because no need was recorded yet."""
    draft = drafted(allergies=())
    Quote.objects.filter(pk=draft.pk).update(note=words)
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "promises nobody that it is free of what is in it" in page or "Not ready to send." in page


@pytest.mark.parametrize(
    "words",
    [
        "It was lovely to meet you both. We can have it ready by noon, and everything looks great.",
        "All the best for the day! Any questions, call me.",
        "Schön, dass es passt. Wir freuen uns auf alles.",
    ],
)
def test_a_greeting_is_not_asked_about(owner: Client, words: str) -> None:
    draft = drafted(allergies=())
    Quote.objects.filter(pk=draft.pk).update(note=words)
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "promises nobody" not in page
    assert "Not ready to send." not in page


@pytest.mark.parametrize("claim", CLAIMS)
def test_a_note_to_the_customer_is_held_to_the_whole_table(owner: Client, claim: str) -> None:
    draft = drafted()
    Quote.objects.filter(pk=draft.pk).update(note=claim)
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "What it says about food is true for tree nuts" in page or "Not ready to send." in page


@pytest.mark.parametrize(
    "words",
    ["Walnut sponge with saffron.", "Walnut and honey paste without peanuts.", "Two tiers, with walnuts and cream."],
)
def test_what_only_names_what_is_in_it_is_not_asked(owner: Client, words: str) -> None:
    draft = drafted()
    Product.objects.filter(code="walnut-cake").update(description=words)
    catalog_changed()
    assert quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, read=()).status == QuoteStatus.SENT


def test_the_name_of_an_extra_that_says_for_which_guests_it_is(owner: Client) -> None:
    name = "Separate plate for our 2 coeliac guests"
    table = factories.table_make(extras=(factories.extra_make(name),))
    draft = factories.draft_make(table=table, allergies=("sesame",))
    assert f"Name of an extra. “{name}” names gluten (celiac) for 2 guests." in asked(owner, draft)


def test_the_name_of_an_extra_that_only_names_a_diet_is_no_need(owner: Client) -> None:
    table = factories.table_make(extras=(factories.extra_make("Vegan menu cards"),))
    draft = factories.draft_make(table=table, allergies=("sesame",))
    page = text(owner.get(reverse("quote-send", args=[draft.pk])))
    assert "Name of an extra." not in page
