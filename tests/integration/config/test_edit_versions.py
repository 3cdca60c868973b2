"""Every form that changes an existing record carries its version, and no change is overwritten unseen."""

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.apps import apps
from django.test import Client
from django.urls import resolve

from tests import factories
from tests.integration.config.routes import addresses, routes
from tests.integration.forms_on_pages import PageForm, forms_of

pytestmark = pytest.mark.django_db

#: Forms without a version, by the name of the address they are sent to, and why none is needed.
NOTHING_OVERWRITTEN = {
    "sign-in": "signs in",
    "password-forgotten": "asks for a mail",
    "account-password": "replaces one's own password, which is entered again",
    "account-email": "asks for a mail to an address, which counts once it is confirmed",
    "two-step": "begins to set it up, confirmed by the password",
    "sign-in-rules": "replaces the form's one field, confirmed by the password",
    "people": "adds somebody who may sign in",
    "inquiry-new": "adds an inquiry",
    "inquiry-copy": "adds an inquiry",
    "inquiry-close": "moves a status, which a table of transitions guards",
    "kitchen-taxes-new": "adds a tax category",
    "kitchen-taxes-rate": "adds a rate beside the others",
    "kitchen-roles-new": "adds a kind of work",
    "kitchen-stations-new": "adds a station",
    "kitchen-stations-out": "adds a time out of order beside the others",
    "kitchen-rules-new": "adds a price rule",
    "undo-delete": "brings back what is not there",
    "quote-rows-back": "brings back rows that are not there",
    "recipe-new": "adds a recipe",
    "recipe-copy": "adds a recipe",
    "recipe-pan": "adds a recipe",
    "recipe-scale": "adds a recipe",
    "recipe-answers": "compares the version of the recipe that was looked at",
    "product-new": "adds a product",
    "product-copy": "adds a product",
    "mold-new": "adds a mold",
    "vessel-new": "adds a vessel",
    "ingredient-new": "adds an ingredient",
    "ingredients-common": "adds ingredients",
    "first-figures": "adds what is not there",
    "ingredient-labels": "answers what is open, each row with its version",
    "supplier-new": "adds a supplier",
    "pack-add": "adds a price from a day on; the older ones stay",
    "price-lists": "adds a price list",
    "price-list-columns": "compares the step of the list that was looked at",
    "spreadsheets": "adds a file",
    "kitchen-import": "fills an empty catalog, and refuses another",
    "spreadsheet-sheet": "compares the step of the file that was looked at",
    "spreadsheet-columns": "compares the step of the file that was looked at",
    "spreadsheet-correct": "compares the step of the file that was looked at",
    "price-list-starts": "compares the step of the list that was looked at",
    "price-list-correct": "compares the step of the list that was looked at",
    "quote-send": "sends what was looked at, and compares its mark",
    "quote-withdraw": "moves a status, which a table of transitions guards",
    "quote-record-approval": "moves a status, and compares the hash of what was looked at",
    "quote-reply": "adds a message",
    "order-cooling": "adds a record; those before it stay",
    "order-cooling-dismiss": "adds to the history, and compares what the mark is by now",
    "order-start": "moves a status, which a table of transitions guards",
    "order-deliver": "moves a status, which a table of transitions guards",
    "order-cancel": "moves a status, which a table of transitions guards",
    "order-carry": "adds a refund and a payment once for each key of its form",
    "order-request": "adds a request for what is open, once",
    "order-pay": "adds a payment once for each key of its form",
    "payment-reverse": "adds the reversal of a payment, once",
    "invoice-issue": "moves a status, which a table of transitions guards",
    "invoice-credit": "adds a credit note, within what is left to credit",
    "order-settle-change": "adds what a change leaves to invoice or credit, and compares what was reviewed",
    "order-change": "begins a draft, once for each order",
    "money-export-new": "adds an export of what is in none",
}
#: The pages that must have a form with a version: a walk that finds none of them proves nothing.
#: Each with a change that a person could make on it.
EDITS = {
    "quote-draft": {"discount": "5", "do": "save"}, "quote-terms": {"deposit": "25"},
    "inquiry-edit": {"title": "Another title"}, "customer-edit": {"phone": "555 0101"},
    "order-note": {"note": "Nuts apart"}, "order-bill-to": {"name": "Larkspur Events LLC"},
    "kitchen-profile": {"phone": "555 0101"},
    "kitchen-cancellation": {"retained-0-days": "5", "retained-0-share": "50"},
    "kitchen-payments": {"payments-0-days": "14"},
    "kitchen-bank": {"bank_holder": "Larkspur Lane Desserts LLC"},
    "kitchen-hours": {"week-0-closes": "15:00"}, "kitchen-overhead": {"monthly_orders": "31"},
    "usual-desserts": {"usual-0-pieces": "0.7"},
    "kitchen-delivery": {"margin": "12"}, "kitchen-roles-edit": {"hourly": "31"},
    "kitchen-stations-edit": {"hourly": "31"}, "kitchen-rules-edit": {"margin": "41"},
    "kitchen-taxes-edit": {"name": "Another name"}, "quote-override": {"reason": "Our first wedding"},
    "ingredient": {"note": "Sifted"}, "supplier": {"note": "Sundays off"}, "mold-edit": {"owned": "9"},
    "vessel-edit": {"owned": "9"},
    "recipe-edit": {"note": "Stir", "do": "save"}, "product-edit": {"description": "A new sentence.", "do": "save"},
    "product-picture": {"alt": "As it comes from the oven", "do": "save"},
    "kitchen-logo": {"alt": "Our emblem", "do": "save"},
    "person": {"name": "Another name"},
    "reminders-settings": {"validity_days": "4"}, "reminder-text": {"subject": "Another subject"},
    "quote-reminders": {"things": "2 cake stands"},
}  # fmt: skip
Pk = Callable[[], int]


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(factories.user_make())
    return client


def _changing_forms(owner: Client, records: dict[str, list[int]]) -> Iterator[tuple[str, str, PageForm]]:
    """Yield every form of every page that the owner can change something in: name and address it goes to."""
    for route in routes():
        for address in addresses(route, records):
            page = owner.get(address)
            if page.status_code != 200 or "html" not in page["Content-Type"]:
                continue
            for form in forms_of(page):
                if form.method == "post" and form.editable:
                    target = form.action.partition("#")[0].partition("?")[0] or address
                    yield resolve(target).url_name or "", target, form


def test_every_form_that_changes_a_record_carries_its_version(owner: Client, records: dict[str, list[int]]) -> None:
    with_version, without = set(), set()
    for name, _, form in _changing_forms(owner, records):
        (with_version if any(form.fields.get("version", ())) else without).add(name)
    assert without <= set(NOTHING_OVERWRITTEN), "a form that overwrites needs {% version edit %}, or a reason here"
    assert with_version == set(EDITS)


def _stored() -> dict[str, Any]:
    """Return the rows that forms change, without when somebody last looked at them."""
    models = (model for app in ("catalog", "orders") for model in apps.get_app_config(app).get_models())
    return {model.__name__: list(model._default_manager.order_by("pk").values()) for model in models}


def test_a_form_sent_without_its_version_overwrites_nothing_and_shows_both(
    owner: Client, records: dict[str, list[int]]
) -> None:
    tried = set()
    for name, address, form in list(_changing_forms(owner, records)):
        if name in tried or not any(form.fields.get("version", ())):
            continue
        before, sent = _stored(), form.data(**EDITS[name])
        del sent["version"]
        page = owner.post(address, sent, headers={"Origin": "http://testserver"})
        assert page.status_code == 409, name
        assert _stored() == before, name
        words = " ".join(re.sub(r"<[^>]*>", " ", page.content.decode()).split())
        if name != "quote-override":
            assert "that this form did not show" in words, name
            assert "saved now" in words, name
        tried.add(name)
    assert tried == set(EDITS)
