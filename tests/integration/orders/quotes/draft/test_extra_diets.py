"""An extra that is food or drink is asked for alcohol, gelatin and raw egg as an ingredient is, and judged by it."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from catalog.taxes.models import TaxCategory
from orders.documents.content import content_read
from orders.documents.label_words import extra_label
from orders.quotes.draft.allergens import charge_declared, needs_served
from orders.quotes.draft.dessert_table import TableExtra, only_named, table_of
from orders.quotes.draft.extra_forms import ExtraForm, extra_shown
from orders.quotes.models import Quote
from tests.factories import BY, NOW, draft_make, extra_make, kitchen_make, line_make, table_make
from tests.integration.orders.register.test_register import signed_in
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
TOAST = "Elderflower toast, 40 glasses"


@pytest.fixture(autouse=True)
def made() -> None:
    kitchen_make()


def toast(*facts: tuple[str, str], name: str = TOAST) -> TableExtra:
    return replace(extra_make(name), food="checked", free_of=("milk", "eggs"), facts=facts)


def drafted(extra: TableExtra) -> Quote:
    return draft_make(table=table_make(lines=(line_make("quince-square", 24),), extras=(extra,)))


def answer(extra: TableExtra, need: str) -> tuple[str, Sequence[str]]:
    quote = drafted(extra)
    (found,) = needs_served(book_current(), [], table_of(quote).extras, quote.inquiry, needs=[need])
    (dish,) = found.dishes
    return dish.serves, dish.codes


def test_its_answer_serves_the_need_or_not() -> None:
    assert answer(toast(("alcohol", "contains")), "no-alcohol") == ("contains", ("alcohol",))
    assert answer(toast(("alcohol", "free")), "no-alcohol") == ("free", ())
    assert answer(toast(), "no-alcohol") == ("unchecked", ("alcohol",))
    assert answer(toast(("gelatin", "free")), "no-gelatin") == ("free", ())
    assert answer(toast(("raw-egg", "contains")), "no-raw-egg")[0] == "contains"


def test_a_sent_quote_states_it_and_keeps_the_answer() -> None:
    quote = drafted(toast(("alcohol", "contains"), ("gelatin", "free")))
    Quote.objects.filter(pk=quote.pk).update(override_reason="a test's price")
    sent = quote_send_seen(quote_id=quote.pk, by=BY, at=NOW, unchecked=["extra-1", "quince-square"])
    content = content_read(sent.content)
    (charge,) = content.extras
    assert (charge.made_with, charge.made_without) == (("alcohol",), ("gelatin",))
    assert extra_label(content, charge).endswith("Made with alcohol.")
    found = charge_declared(content, charge, kitchen().allergen_list)
    assert "alcohol" in found.contains
    assert "gelatin" in found.free


def test_a_name_that_speaks_of_it_is_asked_about_where_the_answer_is_none() -> None:
    assert only_named(toast(("alcohol", "free"), name="Prosecco toast"), []) == ("alcohol",)
    assert only_named(toast(("alcohol", "contains"), name="Prosecco toast"), []) == ()


def form(**data: str) -> ExtraForm:
    tax = TaxCategory.objects.get(code="service")
    facts = {"name": TOAST, "tax": str(tax.pk), "amount": "120", "food": "checked", **data}
    return ExtraForm(facts, taxes=[tax], currency="USD", allergen_list="us")


def test_the_form_asks_it_and_shows_it_again() -> None:
    found = form(made_with_alcohol="contains", made_with_raw_egg="free")
    assert found.is_valid(), found.errors
    extra = found.extra()
    assert extra is not None
    assert dict(extra.facts) == {"alcohol": "contains", "raw-egg": "free"}
    again = extra_shown(extra, "USD", "us")
    assert (again["made_with_alcohol"], again["made_with_raw_egg"]) == ("contains", "free")
    assert "food" in form(food="none", made_with_alcohol="contains").errors


def test_the_page_of_the_draft_has_the_questions() -> None:
    quote = drafted(toast(("alcohol", "contains")))
    page = signed_in("owner").get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert "Alcohol, gelatin, raw egg and more" in page
    assert "made_with_alcohol" in page
