"""The owner edits a draft: numbers, splitting by share, saving, what-if, terms."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import RecipeStep
from orders.inquiries.models import Inquiry
from orders.quotes.draft.forms import MOST_IN_EACH_ROW, SPARE_ROWS
from orders.quotes.draft.services import table_version
from orders.quotes.models import Quote
from orders.records.models import AuditEntry
from tests import factories
from tests.factories import NOW
from tests.integration.forms_on_pages import edit_form_of, save_edit

pytestmark = pytest.mark.django_db


def form_data(quote: Quote, **changes: Any) -> dict[str, Any]:
    """Return the form data of the saved table with two empty rows below."""
    lines = list(quote.lines.select_related("product"))
    data: dict[str, Any] = {"guests": "80", "pieces_per_guest": "2.5", "discount": "", "do": "save"}
    data |= {"lines-TOTAL_FORMS": str(len(lines) + 2), "lines-INITIAL_FORMS": str(len(lines))}
    data |= {"extras-TOTAL_FORMS": "1", "extras-INITIAL_FORMS": "0"}
    for place, line in enumerate(lines):
        data[f"lines-{place}-product"] = str(line.product_id)
        data[f"lines-{place}-units"] = str(line.units)
        data[f"lines-{place}-share"] = "" if line.share is None else str(line.share * 100)
    return data | changes


def post(owner: Client, quote: Quote, **changes: Any) -> Any:
    page = reverse("inquiry", args=[quote.inquiry_id])
    return save_edit(owner, reverse("quote-draft", args=[quote.pk]), form_data(quote, **changes), page=page)


def test_writing_one_number_keeps_the_others(owner: Client, quote: Quote) -> None:
    answer = post(owner, quote, **{"lines-1-units": "84"})
    assert answer.status_code == 302
    assert [line.units for line in quote.lines.all()] == [78, 84, 60, 1]


def test_a_table_saved_in_another_window_is_not_overwritten(owner: Client, quote: Quote) -> None:
    version = table_version(quote)
    assert post(owner, quote, version=version, **{"lines-1-units": "84"}).status_code == 302
    answer = post(owner, quote, version=version, **{"lines-1-units": "96"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "It was changed elsewhere while you had it open" in page
    assert 'name="lines-1-units" value="96"' in page
    assert quote.lines.get(product__code="rice-glass").units == 84
    again = edit_form_of(answer).fields["version"][0]
    assert post(owner, quote, version=again, **{"lines-1-units": "96"}).status_code == 302
    assert quote.lines.get(product__code="rice-glass").units == 96


def test_a_table_that_is_not_saved_yet_keeps_its_version(owner: Client, quote: Quote) -> None:
    version = table_version(quote)
    assert (
        f'name="version" value="{version}.' in owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    )
    post(owner, quote, version=version, **{"lines-1-units": "84"})
    page = post(owner, quote, version=version, do="estimate", **{"lines-1-units": "96"}).content.decode()
    assert f'name="version" value="{version}"' in page


def test_a_hand_over_in_the_past_is_reported_on_the_inquiry_page(owner: Client, quote: Quote) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(window_start=NOW - timedelta(days=1), window_end=NOW)
    page = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert "The date and time have passed." in page
    assert reverse("inquiry-edit", args=[quote.inquiry_id]) in page


def test_the_sheet_says_how_far_it_is(owner: Client, quote: Quote) -> None:
    Inquiry.objects.filter(pk=quote.inquiry_id).update(minutes=35, km=Decimal("28.968"))
    Kitchen.objects.update(distance=Kitchen.Distance.MILE)
    assert "35\xa0min, 18\xa0mi one way" in owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()


def test_spreading_fills_in_from_guests_pieces_and_shares_and_writes_nothing(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, do="split", guests="120").content.decode()
    assert 'name="lines-0-units" value="120"' in page  # 120 × 2.5 × 40%
    assert 'name="lines-1-units" value="108"' in page  # 105 pieces, in dozens
    assert 'name="lines-2-units" value="72"' in page  # 75 pieces, in dozens, made up by the glasses
    assert "Not saved yet" in page
    assert [line.units for line in quote.lines.all()] == [78, 72, 60, 1]


def test_a_share_without_units_gets_them_when_saved(owner: Client, quote: Quote) -> None:
    post(owner, quote, **{"lines-1-units": ""})
    assert quote.lines.get(product__code="rice-glass").units == 72


def test_a_product_with_neither_share_nor_number_asks_for_one(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, **{"lines-3-units": ""}).content.decode()
    assert "Enter the quantity of Walnut sponge cake, two tiers." in page
    assert 'name="lines-0-units" value="78"' in page


def test_a_share_without_guests_asks_for_a_number(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, guests="", **{"lines-1-units": ""}).content.decode()
    assert "Enter the quantity of Saffron rice cream with quince, glass, or the guests and pieces per guest." in page


def test_a_number_between_dozens_is_answered_with_the_nearest(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, **{"lines-1-units": "100"}).content.decode()
    assert "is sold by the dozen. Enter 96 or 108." in page


def test_a_product_on_two_rows_is_refused_by_name(owner: Client, quote: Quote) -> None:
    product = quote.lines.all()[0].product_id
    page = post(owner, quote, **{"lines-4-product": str(product), "lines-4-units": "6"}).content.decode()
    assert "Custard tart, 10 cm is in two rows" in page


def test_a_row_is_removed_and_a_number_without_product_is_not_lost(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, **{"lines-4-units": "36"}).content.decode()
    assert "Choose the product of this row" in page
    post(owner, quote, **{"lines-3-DELETE": "on"})
    assert quote.lines.count() == 3


def test_the_live_estimate_comes_alone_and_follows_what_is_typed(owner: Client, quote: Quote) -> None:
    answer = owner.post(
        reverse("quote-draft", args=[quote.pk]),
        form_data(quote, do="estimate", discount="10"),
        headers={"HX-Request": "true"},
    )
    page = answer.content.decode()
    assert "<html" not in page
    assert 'id="draft-estimate"' in page
    assert "Discount" in page
    assert 'id="lines-0-sum" class="figure" hx-swap-oob="true"' in page
    assert Quote.objects.get(pk=quote.pk).discount == 0


def test_a_price_by_hand_and_an_extra_are_saved(owner: Client, quote: Quote) -> None:
    tax = Product.objects.get(code="walnut-cake").tax_id
    extra = {"extras-0-name": "Cake stands", "extras-0-cost": "18", "extras-0-amount": "$45", "extras-0-tax": str(tax)}
    post(owner, quote, **{"lines-3-unit_price": "300.50", **extra})
    assert quote.lines.get(product__code="walnut-cake").unit_price_minor == 30_050
    assert quote.extras.get().amount_minor == 4500


def named_extra(name: str, **answers: Any) -> dict[str, Any]:
    tax = Product.objects.get(code="walnut-cake").tax_id
    row = {"name": name, "cost": "18", "amount": "$45", "tax": str(tax), **answers}
    return {f"extras-0-{field}": value for field, value in row.items()}


@pytest.mark.parametrize(
    "answers",
    [
        {"food": "none"},
        {"food": "checked", "all_free": "on"},
        {"food": "checked", "free_of": ["walnuts"]},
        {"food": "checked", "contains": ["milk"], "all_free": "on"},
    ],
)
def test_an_extra_named_after_an_allergen_is_not_answered_free_of_it_by_one_click(
    owner: Client, quote: Quote, answers: dict[str, Any]
) -> None:
    page = post(owner, quote, **named_extra("Walnut praline box", **answers)).content.decode()
    assert "“Walnut praline box” names walnuts, and the answer is that there is none in it." in page
    assert "It only has the name" in page
    assert not quote.extras.filter(name="Walnut praline box").exists()
    by_label = {} if answers["food"] == "none" else {"free_by": "label:Walnut praline box"}
    post(owner, quote, **named_extra("Walnut praline box", **answers, **by_label, only_named="on"))
    assert quote.extras.get().name == "Walnut praline box"
    entry = AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event="save_table").latest("pk")
    noted = {"free_by": ["Walnut praline box"]} if by_label else {}
    assert entry.params == {"only_named": ["Walnut praline box"], **noted, "besides": True}
    shown = edit_form_of(owner.get(reverse("inquiry", args=[quote.inquiry_id])))
    assert shown.fields["extras-0-only_named"] == ["on"]


@pytest.mark.parametrize("name", ["Champagne", "Prosecco", "Wine", "Cupcake tower", "Cake stand with cakes"])
def test_a_drink_or_a_tower_of_cakes_is_not_answered_as_no_food_by_one_click(
    owner: Client, quote: Quote, name: str
) -> None:
    assert f"“{name}” may be food" in post(owner, quote, **named_extra(name, food="none")).content.decode()
    assert not quote.extras.filter(name=name).exists()


def test_an_extra_that_sounds_like_food_is_not_answered_as_no_food_by_one_click(owner: Client, quote: Quote) -> None:
    page = post(owner, quote, **named_extra("Sugar flowers", food="none")).content.decode()
    assert "“Sugar flowers” may be food, and the answer is that it is not." in page
    assert not quote.extras.filter(name="Sugar flowers").exists()
    post(owner, quote, **named_extra("Sugar flowers", food="none", not_eaten="on"))
    assert quote.extras.get().name == "Sugar flowers"
    entry = AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event="save_table").latest("pk")
    assert entry.params == {"not_eaten": ["Sugar flowers"], "besides": True}
    shown = edit_form_of(owner.get(reverse("inquiry", args=[quote.inquiry_id])))
    assert shown.fields["extras-0-not_eaten"] == ["on"]


def test_terms_are_checked_against_the_day_of_the_event(owner: Client, quote: Quote) -> None:
    address = reverse("quote-terms", args=[quote.pk])
    good = {
        "payments-TOTAL_FORMS": "0",
        "after-TOTAL_FORMS": "0",
        "after-INITIAL_FORMS": "0",
        "payments-INITIAL_FORMS": "0",
        "retained-TOTAL_FORMS": "0",
        "retained-INITIAL_FORMS": "0",
        "valid_until": "2027-01-19",
        "deposit": "40%",
        "deposit_days": "5",
        "balance_days": "7",
        "final_count_on": "2027-01-27",
        "note": "With love",
    }
    page = save_edit(owner, address, {**good, "valid_until": "2027-02-07"}).content.decode()
    assert "The quote is valid until Sunday, February 7, 2027, but work on it starts on " in page
    assert "With love" in page
    assert "This day has passed" in save_edit(owner, address, {**good, "valid_until": "2027-01-05"}).content.decode()
    assert save_edit(owner, address, good).status_code == 302
    quote.refresh_from_db()
    assert quote.deposit_share == Decimal("0.4")
    assert quote.valid_until is not None
    assert quote.valid_until.astimezone(factories.ZONE).strftime("%Y-%m-%d %H:%M") == "2027-01-19 23:59"


ODD = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["", "-1", "1e9", "٣", "½", "9" * 30, "NaN", "Infinity", "0", "\x00", "1,000", "12", "on"]),
)
FIELDS = st.sampled_from(
    [
        *(f"lines-{row}-{name}" for row in (0, 4) for name in ("product", "share", "units", "unit_price", "DELETE")),
        *(f"extras-0-{name}" for name in ("name", "cost", "amount", "tax")),
        *(f"{prefix}-{name}" for prefix in ("lines", "extras") for name in ("TOTAL_FORMS", "INITIAL_FORMS")),
        "guests",
        "pieces_per_guest",
        "discount",
        "rush",
        "do",
    ]
)


@given(changes=st.dictionaries(FIELDS, ODD, max_size=5))
def test_no_odd_table_breaks_the_page(changes: dict[str, str]) -> None:
    """Every draw starts from the rows of its own transaction, so the table is made once per draw if it is not there."""
    client, quote = _fuzzed()
    answer = client.post(reverse("quote-draft", args=[quote.pk]), form_data(quote) | {"do": "estimate"} | changes)
    assert answer.status_code in (200, 302)


def _fuzzed() -> tuple[Client, Quote]:
    client = Client()
    quote = Quote.objects.first()
    if quote is None:
        factories.kitchen_make()
        quote = factories.draft_make()
        factories.user_make()
    client.force_login(User.objects.get())
    return client, quote


def live(owner: Client, quote: Quote, **changes: Any) -> Any:
    address = reverse("quote-draft", args=[quote.pk])
    return owner.post(address, form_data(quote, do="estimate", **changes), headers={"HX-Request": "true"})


def test_a_keystroke_takes_twelve_queries_at_most_once_the_book_is_known(
    owner: Client, quote: Quote, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        live(owner, quote)
    with CaptureQueriesContext(connection) as caught:
        live(owner, quote, guests="96")
    assert len(caught) <= 12


def test_a_live_answer_reads_only_the_products_on_the_table(owner: Client, quote: Quote) -> None:
    with CaptureQueriesContext(connection) as caught:
        page = live(owner, quote).content.decode()
    read = [
        query["sql"] for query in caught if 'FROM "catalog_product" WHERE "catalog_product"."id" IN' in query["sql"]
    ]
    assert len(read) == 1
    assert 'id="lines-4-sum" class="figure" hx-swap-oob="true">' in page


@pytest.mark.parametrize("key", ["x", "-1", "9" * 40, "²", "0"])
def test_a_live_answer_takes_any_text_for_a_product(owner: Client, quote: Quote, key: str) -> None:
    assert live(owner, quote, **{"lines-4-product": key, "lines-4-units": "6"}).status_code == 200


class TestManyProducts:
    """A kitchen of more products than fit into a list in each row."""

    @pytest.fixture
    def many(self, quote: Quote) -> Quote:
        model = Product.objects.earliest("pk")
        for number in range(MOST_IN_EACH_ROW):
            model.pk, model.code, model.name = None, f"more-{number}", f"Tartlet no. {number}"
            model.save(force_insert=True)
        return quote

    def page(self, owner: Client, quote: Quote) -> str:
        return owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()

    def test_the_page_lists_them_once(self, owner: Client, many: Quote) -> None:
        page = self.page(owner, many)
        assert page.count("Tartlet no. 7<") + page.count('"Tartlet no. 7"') == 1
        rows = page.count('list="products-offered"')
        assert rows == many.lines.count() + SPARE_ROWS + 1, "and the row that a script adds"
        assert 'id="products-offered"' in page

    def test_a_small_kitchen_chooses_in_each_row(self, owner: Client, quote: Quote) -> None:
        page = self.page(owner, quote)
        assert "<datalist" not in page
        assert '<select name="lines-0-product"' in page

    @pytest.mark.parametrize("entered", ["Tartlet no. 7", "  tartlet NO. 7 ", "more-7"])
    def test_a_name_or_code_that_is_typed_is_found(self, owner: Client, many: Quote, entered: str) -> None:
        assert post(owner, many, **{"lines-4-product": entered, "lines-4-units": "12"}).status_code == 302
        assert many.lines.get(product__code="more-7").units == 12
        assert 'value="Tartlet no. 7"' in self.page(owner, many)

    def test_what_is_saved_is_the_same_when_it_is_saved_again(self, owner: Client, many: Quote) -> None:
        before = list(many.lines.values("product", "units", "share"))
        address = reverse("inquiry", args=[many.inquiry_id])
        form = edit_form_of(owner.get(address)).data(do="save")
        assert form["lines-0-product"] == [str(many.lines.all()[0].product)]
        assert owner.post(reverse("quote-draft", args=[many.pk]), form).status_code == 302
        assert list(many.lines.values("product", "units", "share")) == before

    def test_a_name_nobody_knows_is_refused_in_its_row_and_stays_to_be_corrected(
        self, owner: Client, many: Quote
    ) -> None:
        page = post(owner, many, **{"lines-4-product": "Tartlet no. x", "lines-4-units": "12"}).content.decode()
        assert "No product for sale is called “Tartlet no. x”. Choose one from the list." in page
        assert 'name="lines-4-product" value="Tartlet no. x"' in page

    def test_of_two_products_of_one_name_the_code_says_which(self, owner: Client, many: Quote) -> None:
        Product.objects.filter(code="more-8").update(name="Tartlet no. 7")
        page = self.page(owner, many)
        assert "Tartlet no. 7 (more-8)" in page
        data = {"lines-4-product": "Tartlet no. 7 (more-8)", "lines-4-units": "12"}
        assert 'id="lines-4-sum"' in live(owner, many, **data).content.decode()
        assert post(owner, many, **data).status_code == 302
        assert many.lines.get(product__code="more-8").units == 12
        ambiguous = post(owner, many, **{"lines-5-product": "Tartlet no. 7", "lines-5-units": "12"}).content.decode()
        assert "No product for sale is called “Tartlet no. 7”." in ambiguous

    def test_a_live_answer_knows_the_typed_name_and_reads_only_what_is_named(self, owner: Client, many: Quote) -> None:
        names = {f"lines-{place}-product": str(line.product) for place, line in enumerate(many.lines.all())}
        with CaptureQueriesContext(connection) as caught:
            page = live(owner, many, **names, **{"lines-4-product": "Tartlet no. 7", "lines-4-units": "12"})
        assert page.status_code == 200
        read = [one["sql"] for one in caught if 'FROM "catalog_product" WHERE' in one["sql"] and "name" in one["sql"]]
        assert any("Tartlet no. 7" in sql for sql in read)
        total = page.content.decode()
        assert total != live(owner, many, **names).content.decode()

    def test_the_second_window_reads_names_in_both_versions(self, owner: Client, many: Quote) -> None:
        version = edit_form_of(owner.get(reverse("inquiry", args=[many.inquiry_id]))).fields["version"][0]
        assert post(owner, many, version=version, **{"lines-1-units": "84"}).status_code == 302
        changed = {"lines-3-product": "Tartlet no. 7", "lines-3-units": "12", "lines-3-share": ""}
        page = post(owner, many, version=version, **changed)
        assert page.status_code == 409
        assert "Tartlet no. 7" in page.content.decode()


def test_a_price_without_any_work_in_it_is_said(owner: Client, quote: Quote) -> None:
    page = reverse("inquiry", args=[quote.inquiry_id])
    assert "No work is counted in" not in owner.get(page).content.decode()
    for step in (RecipeStep, ProductStep):
        step.objects.update(hands_fixed=0, hands_each=0)
    catalog_changed()
    shown = owner.get(page).content.decode()
    assert "No work is counted in" in shown
    assert "has minutes of labor" in shown
