"""What the kitchen usually serves is stated on a page of its own, and comes out of the Book as it went in."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.products.models import Product
from catalog.products.services import product_copy
from catalog.products.usual_services import usual_now
from tests.factories import BY, NOW, kitchen_make, user_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import forms_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen() -> None:
    """Fill the catalog."""
    kitchen_make()


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(user_make())
    return client


def _save(owner: Client, *rows: tuple[str, str]) -> Any:
    page = owner.get(reverse("usual-desserts"))
    form = next(form for form in forms_of(page) if "usual-TOTAL_FORMS" in form.fields)
    keys = dict(Product.objects.values_list("code", "pk"))
    sent = {"version": form.fields["version"], "usual-TOTAL_FORMS": str(len(rows)), "usual-INITIAL_FORMS": "0"}
    for at, (code, pieces) in enumerate(rows):
        sent |= {f"usual-{at}-product": str(keys.get(code, code)), f"usual-{at}-pieces": pieces}
    return owner.post(reverse("usual-desserts"), sent)


def test_they_are_saved_shown_and_replaced(owner: Client) -> None:
    assert "what you made most in the past year counts" in text(owner.get(reverse("usual-desserts")))
    assert _save(owner, ("walnut-cake", "0.5"), ("custard-tart", "1.5")).status_code == 302
    stored = {one.code: one.usual_pieces for one in book_current().products if one.usual_pieces is not None}
    assert stored == {"walnut-cake": Decimal("0.5"), "custard-tart": Decimal("1.5")}
    assert 'value="1.5"' in owner.get(reverse("usual-desserts")).content.decode()
    _save(owner, ("custard-tart", "2"))
    assert list(usual_now().values()) == [Decimal(2)]
    _save(owner)
    assert usual_now() == {}


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([("walnut-cake", "")], "Enter the pieces per guest, such as 0.5 for one for every two."),
        ([("", "1")], "Choose the product of this row, or check “Remove”."),
        ([("walnut-cake", "0")], "The pieces per guest must be "),
        ([("walnut-cake", "101")], "The pieces per guest must be "),
        ([("walnut-cake", "1"), ("walnut-cake", "2")], "This product is entered twice. Remove one of the rows."),
        ([("no such key", "1")], "This product is no longer for sale. Choose another."),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_saved(owner: Client, rows: list[tuple[str, str]], words: str) -> None:
    page = _save(owner, *rows)
    assert page.status_code == 200
    assert words in text(page)
    assert usual_now() == {}


def test_another_size_is_not_usual_by_itself() -> None:
    one = Product.objects.get(code="walnut-cake")
    Product.objects.filter(pk=one.pk).update(usual_pieces=1)
    assert product_copy(product_id=one.pk, name="Walnut sponge cake, small", by=BY, at=NOW).usual_pieces is None
