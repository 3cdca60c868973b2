"""The owner enters what is kept of an order that a customer cancels, by days before the event."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of

pytestmark = pytest.mark.django_db
PAGE = "kitchen-cancellation"


def _rows(*rows: tuple[str, str]) -> dict[str, str]:
    fields = {"retained-TOTAL_FORMS": str(len(rows)), "retained-INITIAL_FORMS": "0"}
    for place, (days, share) in enumerate(rows):
        fields |= {f"retained-{place}-days": days, f"retained-{place}-share": share}
    return fields


def _sent(client: Client, *rows: tuple[str, str], tax: str = ""):
    form = edit_form_of(client.get(reverse(PAGE))).data()
    version = {"version": form["version"]}
    return client.post(reverse(PAGE), {**_rows(*rows), "tax": tax, **version})


def test_rows_are_saved_the_most_days_first_with_their_tax() -> None:
    kitchen_make()
    client, tax = signed_in(), TaxCategory.objects.first()
    assert _sent(client, ("7", "50"), ("21", "30"), ("0", "100"), ("", ""), tax=str(tax.pk)).status_code == 302
    home = Kitchen.objects.get()
    assert [(row["days"], Decimal(row["share"])) for row in home.cancellation_table] == [
        (21, Decimal("0.3")),
        (7, Decimal("0.5")),
        (0, Decimal(1)),
    ]
    assert home.cancellation_tax == tax
    shown = edit_form_of(client.get(reverse(PAGE))).data()
    assert (shown["retained-0-days"], shown["retained-0-share"], shown["retained-2-share"]) == (["21"], ["30"], ["100"])


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([("7", "50"), ("7", "60")], "This number of days is entered twice."),
        ([("21", "50"), ("7", "30")], "The charge cannot fall as the event comes nearer."),
        ([("7", "")], "Enter the charge as a percentage of the total, 0 for none."),
        ([("", "40")], "Enter from how many days before the event this charge applies."),
        ([("7", "101")], "100"),
        ([("-1", "20")], "0"),
    ],
)
def test_rows_that_cannot_hold_are_refused_with_what_would(rows: list[tuple[str, str]], words: str) -> None:
    kitchen_make()
    page = _sent(signed_in(), *rows)
    assert page.status_code == 200
    assert words in text(page)
    assert Kitchen.objects.get().cancellation_table == []


def test_without_rows_only_words_apply_again() -> None:
    kitchen_make(cancellation_table=[{"days": 3, "share": "1"}])
    assert _sent(signed_in(), ("", "")).status_code == 302
    assert Kitchen.objects.get().cancellation_table == []


def test_the_profile_leads_to_it() -> None:
    kitchen_make()
    assert reverse(PAGE) in signed_in().get(reverse("kitchen-profile")).content.decode()


def test_before_there_is_a_kitchen_its_profile_comes_first() -> None:
    assert signed_in().get(reverse(PAGE)).url == reverse("kitchen-profile")
