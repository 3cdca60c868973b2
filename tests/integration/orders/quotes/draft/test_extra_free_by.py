"""An extra whose name does not say all that is in it is free of something only with how that is known."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.draft.allergens import extra_unchecked
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.models import Quote
from tests.integration.forms_on_pages import edit_form_of
from tests.integration.orders.quotes.draft.test_draft_page import named_extra, post

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "name",
    [
        *("Croquembouche", "Nutela dip", "Kransekake", "Pnut clusters", "Biscoff-like crumble", "Marchpane"),
        *("Croquembouche shells", "Zorb sugar disc", "Kransekake box"),
    ],
)
@pytest.mark.parametrize("free", [{"all_free": "on"}, {"free_of": ["peanuts"]}])
def test_an_extra_whose_name_does_not_say_what_is_in_it_is_free_only_with_how_that_is_known(
    owner: Client, quote: Quote, name: str, free: dict[str, Any]
) -> None:
    answers = {"food": "checked", "only_named": "on", **free}
    asked = f"The name “{name}” does not say all that is in it. Choose how you know what it is free of"
    assert asked in post(owner, quote, **named_extra(name, **answers)).content.decode()
    # An answer for another name is none for this one.
    other = post(owner, quote, **named_extra(name, **answers, free_by="label:Lemons")).content.decode()
    assert asked in other
    assert not quote.extras.filter(name=name).exists()
    post(owner, quote, **named_extra(name, **answers, free_by=f"asked:{name}"))
    assert quote.extras.get().diet_answers == {"free_by": f"asked:{name}"}
    shown = edit_form_of(owner.get(reverse("inquiry", args=[quote.inquiry_id])))
    assert shown.fields["extras-0-free_by"] == [f"asked:{name}"]


def test_what_was_answered_before_that_was_asked_is_free_of_nothing(quote: Quote) -> None:
    tax = quote.lines.all()[0].product.tax
    extra = {
        "name": "Kransekake",
        "amount_minor": 4500,
        "tax": tax,
        "food": "checked",
        "free_of": ["peanuts"],
        "position": 9,
    }
    quote.extras.create(**extra)
    assert "peanuts" in extra_unchecked(table_of(quote).extras[-1], "us")
    quote.extras.filter(position=9).update(name="Lemons")
    assert "peanuts" not in extra_unchecked(table_of(quote).extras[-1], "us")


def test_a_choice_for_another_name_is_in_nobodys_way_where_none_is_asked(owner: Client, quote: Quote) -> None:
    post(owner, quote, **named_extra("Lemons", food="checked", all_free="on", free_by="label:Kransekake"))
    saved = quote.extras.get()
    assert (saved.name, saved.diet_answers) == ("Lemons", {})


@pytest.mark.parametrize(
    ("name", "answers"),
    [
        ("Walnut praline box", {"food": ""}),
        ("Walnuts", {"food": "checked", "contains": ["walnuts"], "all_free": "on"}),
        ("Walnut praline box", {"food": "checked", "may_contain": ["walnuts"]}),
        ("Cake stands", {"food": "none"}),
        ("Nut-free jellies", {"food": "checked", "all_free": "on", "free_by": "asked:Nut-free jellies"}),
    ],
)
def test_any_other_extra_is_saved_as_it_is_answered(
    owner: Client, quote: Quote, name: str, answers: dict[str, Any]
) -> None:
    post(owner, quote, **named_extra(name, **answers))
    assert quote.extras.get().name == name
