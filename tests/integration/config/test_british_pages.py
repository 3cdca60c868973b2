"""The shell, sign-in, mails, errors and lists of a kitchen in Britain read British English; one in the States, US."""

import pytest
from django import forms
from django.test import Client
from django.urls import reverse

from catalog.outbox.models import Outbox
from catalog.price_lists.models import PriceList
from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence
from catalog.web.derivations import derivation
from catalog.web.display import DisplaySettings, use
from catalog.web.fields import NumberField
from catalog.web.inputs import summary
from costing.contract.explanations import Explanation, explanation
from tests import factories

pytestmark = pytest.mark.django_db

BRITISH = DisplaySettings(locale="en_GB")


def page(client: Client, name: str) -> str:
    return str(client.get(reverse(name)).content.decode())


@pytest.mark.parametrize(
    ("locale", "words", "lang"),
    [
        ("en_US", ("Catalog", "Molds", "Labor", "Inquiries", "Measure the center"), "en-US"),
        ("en_GB", ("Catalogue", "Moulds", "Labour", "Enquiries", "Measure the centre"), "en-GB"),
    ],
)
def test_the_kitchens_country_spells_navigation_and_cautions(
    client: Client, locale: str, words: tuple[str, ...], lang: str
) -> None:
    factories.kitchen_make(locale=locale)
    client.force_login(factories.user_make())
    text = page(client, "cautions") + page(client, "ingredients") + page(client, "kitchen-profile")
    assert [word for word in words if word not in text] == []
    assert f'<html lang="{lang}">' in text


@pytest.mark.parametrize("name", ["account", "sign-in-rules", "price-lists", "kitchen-upkeep", "cautions", "two-step"])
def test_shared_pages_are_written_in_a_british_kitchen(client: Client, name: str) -> None:
    factories.kitchen_make(locale="en_GB")
    client.force_login(factories.user_make())
    text = page(client, name)
    assert '<html lang="en-GB">' in text
    assert ">Catalogue<" in text


class _Form(forms.Form):
    email = forms.EmailField(label="E-mail")
    kind = forms.ChoiceField(label="Kind", choices=[("a", "A")])
    weight = NumberField(what="the weight", label="Weight", least=2)


def test_an_error_names_its_field_in_either_english() -> None:
    for locale in ("en_US", "en_GB"):
        with use(DisplaySettings(locale=locale)):
            text = summary(_Form({"email": "no", "kind": "", "weight": "1"}))
            assert "Write “E-mail” as an e-mail address" in text
            assert "Choose an entry for “Kind”." in text
            assert "The weight must be 2 or more." in text
            assert "Enter the weight." in summary(_Form({"email": "a@example.org", "kind": "a"}))


def _derived(how: Explanation) -> tuple[str, str]:
    found = derivation(how)
    assert found is not None
    return found.sentence, found.inputs[0][0]


def test_refusals_derivations_and_statuses_are_spelled_by_the_kitchen() -> None:
    how = explanation("ingredients + packaging + labor + overhead", ("labor", 3, "min"))
    with use(BRITISH):
        assert sentence(CatalogError()) == "The catalogue cannot do that."
        assert _derived(how) == ("Ingredients, packaging, labour and overhead together.", "Labour")
        assert PriceList(status="applied").get_status_display() == "imported"
        assert Outbox(status="running").get_status_display() == "in progress"
    with use(DisplaySettings()):
        assert sentence(CatalogError()) == "The catalog cannot do that."
        assert _derived(how) == ("Ingredients, packaging, labor and overhead together.", "Labor")
