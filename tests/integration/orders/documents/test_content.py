"""What a sent quote says adds up by EN 16931, in both price modes, whatever is on the table.

Source of the rules: EN 16931-1:2017, business rules BR-CO-10, -13, -14, -15 and -17 (rounded once per rate).
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current, forget
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.taxes.models import TaxCategory
from catalog.web import display
from costing.estimating.engine import estimate
from costing.money.allocation import allocate
from orders.documents.content import Charge, QuoteContent, canonical, content_read, sha256_of
from orders.inquiries.models import Customer
from orders.quotes.draft.dessert_table import DessertTable, brief_of_quote
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.send.content import charges_by_code, content_of, statement_of
from tests.factories import BY, NOW, draft_make, extra_make, kitchen_make, line_make, sent_make

pytestmark = pytest.mark.django_db
CODES = ("walnut-cake", "custard-tart", "rice-glass", "quince-square")


@pytest.fixture
def kitchen() -> Iterator[Kitchen]:
    yield kitchen_make(rush_rate=Decimal("0.125"), order_minimum=Decimal(900))
    forget()


def content_for(quote: Quote, kitchen: Kitchen) -> QuoteContent:
    quote = Quote.objects.select_related("inquiry__customer").get(pk=quote.pk)
    book = book_current()
    with display.kitchen_display(kitchen):
        return content_of(quote, estimate(book, brief_of_quote(quote)), book, kitchen, NOW)


def half_up(value: Fraction) -> int:
    """Round independently of the code under test."""
    return int((Decimal(value.numerator) / value.denominator).quantize(Decimal(1), ROUND_HALF_UP))


def check_adds_up(content: QuoteContent) -> None:
    gross = content.prices == "gross"
    for tax in content.taxes:
        rows = [row for row in (*content.lines, *content.extras, *content.charges) if row.tax == tax.code]
        charged = sum(row.amount_minor for row in rows)
        rate = Fraction(tax.rate)
        assert tax.tax_minor == half_up(charged * (rate / (1 + rate) if gross else rate)), "BR-CO-17"
        assert tax.taxable_minor == (charged - tax.tax_minor if gross else charged), "BR-CO-10 and -13 by code"
    assert {row.tax for row in content.lines} <= {tax.code for tax in content.taxes}
    assert content.tax_minor == sum(tax.tax_minor for tax in content.taxes), "BR-CO-14"
    assert content.net_minor == sum(tax.taxable_minor for tax in content.taxes), "BR-CO-13"
    assert content.total_minor == content.net_minor + content.tax_minor, "BR-CO-15"
    assert content.adds_up()


tables = st.fixed_dictionaries(
    {
        "units": st.dictionaries(st.sampled_from(CODES), st.integers(1, 90), min_size=1),
        "price": st.none() | st.integers(1, 99_999),
        "discount": st.sampled_from(["0", "0.05", "0.333", "0.125", "1"]),
        "rush": st.booleans(),
        "extra": st.none() | st.integers(0, 33_333),
        "prices": st.sampled_from(["net", "gross"]),
    }
)


# Each example sets all that it depends on; the rows it leaves are not looked at again.
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(wish=tables)
def test_rows_taxes_and_totals_of_any_table_add_up(kitchen: Kitchen, wish: dict[str, Any]) -> None:
    Kitchen.objects.filter(pk=1).update(prices=wish["prices"])
    catalog_changed()
    book = book_current()
    lines = tuple(
        line_make(code, units * book.product(code).sale_multiple, unit_price_minor=wish["price"])
        for code, units in wish["units"].items()
    )
    extras = () if wish["extra"] is None else (extra_make(amount_minor=wish["extra"], cost_minor=0),)
    table = DessertTable(lines=lines, extras=extras, discount=Decimal(wish["discount"]), rush=wish["rush"])
    quote = draft_save(quote_id=draft_make().pk, table=table, by=BY, at=NOW)

    content = content_for(quote, Kitchen.objects.get(pk=1))

    assert content.prices == wish["prices"]
    check_adds_up(content)
    assert content_read(canonical(content)) == content


@given(
    amounts=st.fixed_dictionaries(
        {
            "discount": st.integers(-10_000, 0),
            "surcharge": st.integers(0, 10_000),
            "top_up": st.integers(0, 10_000),
        }
    ),
    goods=st.dictionaries(st.sampled_from("abcd"), st.integers(0, 9_999), min_size=1),
)
def test_each_charge_adds_up_and_together_they_give_the_split_of_their_sum(
    amounts: dict[str, int], goods: dict[str, int]
) -> None:
    parts = charges_by_code(amounts, goods)
    whole = allocate(sum(amounts.values()), {code: Fraction(amount) for code, amount in goods.items()})
    assert {kind: sum(by_code.values()) for kind, by_code in parts.items()} == amounts
    assert {code: sum(part[code] for part in parts.values()) for code in goods} == whole


def test_the_text_is_canonical_and_its_hash_is_of_its_bytes(kitchen: Kitchen) -> None:
    quote = sent_make()
    text = canonical(content_read(quote.content))
    assert text == quote.content
    assert ": " not in text.split('"note"')[0]
    assert sha256_of(text) == quote.content_sha256
    assert "." not in str(content_read(text).total_minor)


def test_a_content_whose_figures_disagree_is_found_out(kitchen: Kitchen) -> None:
    content = content_read(sent_make().content)
    assert content.adds_up()
    (first, *others) = content.lines
    for wrong in (
        {"total_minor": content.total_minor + 1},
        {"net_minor": content.net_minor - 1, "total_minor": content.total_minor - 1},
        {"lines": (replace(first, amount_minor=first.amount_minor + 1), *others)},
        {"taxes": content.taxes[1:]},
    ):
        assert not replace(content, **wrong).adds_up(), wrong


def test_the_content_is_read_back_with_its_types(kitchen: Kitchen) -> None:
    content = content_read(sent_make(guests=None).content)
    assert content.event.guests is None
    assert isinstance(content.final_count_on, date)
    assert isinstance(content.sent_at, datetime)
    assert content.sent_at.utcoffset() == timedelta(hours=-5)
    assert isinstance(content.taxes[0].rate, Decimal)


def test_a_time_without_a_canonical_text_is_refused() -> None:
    from orders.documents.canonical_text import plain

    with pytest.raises(TypeError, match="no canonical text"):
        plain(object())
    assert plain(datetime(2027, 1, 6, tzinfo=UTC)) == "2027-01-06T00:00:00+00:00"


def test_an_exempt_customer_pays_no_tax_and_reads_why(kitchen: Kitchen) -> None:
    draft = draft_make()
    type(draft.inquiry.customer).objects.filter(pk=draft.inquiry.customer_id).update(tax_exempt=True)
    content = content_for(draft, kitchen)
    assert content.tax_minor == 0
    assert {tax.untdid for tax in content.taxes if tax.code == "food"} == {"E"}
    why = {tax.exempt_reason for tax in content.taxes if tax.code == "food"}
    assert why == {"The customer is exempt from this tax."}


def test_lines_stand_in_the_order_they_were_composed(kitchen: Kitchen) -> None:
    quote = sent_make()
    composed = [line.product.code for line in quote.lines.select_related("product")]
    assert [line.product for line in content_read(quote.content).lines] == composed


def test_the_content_says_what_the_draft_the_kitchen_the_customer_and_the_inquiry_say(kitchen: Kitchen) -> None:
    draft = draft_make(allergies=("wheat", "milk"), allergy_note="A sealed box, please.")
    Kitchen.objects.update(tax_name="Sales tax", tax_number="T 1", country="US", approve_button="Yes, please")
    terms = {"cancellation_terms": "No money back.", "note": "With love.", "deposit_days": 5, "balance_days": 9}
    Quote.objects.filter(pk=draft.pk).update(revision=2, deposit_share=Decimal("0.25"), **terms)
    Customer.objects.update(address="1 Quay", country="CA", tax_number="C 7")
    quote = Quote.objects.select_related("inquiry__customer").get(pk=draft.pk)
    kitchen, inquiry, customer = Kitchen.objects.get(), quote.inquiry, quote.inquiry.customer
    content = content_for(quote, kitchen)

    assert (content.number, content.revision, content.sent_at) == (quote.number, 2, NOW)
    # Two weeks from January 6, and ten days before February 6: the kitchen's usual dates.
    assert (content.valid_until.date(), content.final_count_on) == (date(2027, 1, 20), date(2027, 1, 27))
    assert (content.currency, content.prices, content.tax_name) == ("USD", "net", "Sales tax")
    assert (content.cancellation_terms, content.note) == ("No money back.", "With love.")
    assert (content.deposit_days, content.balance_days, content.button) == (5, 9, "Yes, please")
    assert content.deposit_minor == half_up(Fraction(content.total_minor, 4))
    for name in ("name", "legal_name", "address", "country", "email", "phone", "tax_number"):
        assert getattr(content.kitchen, name) == getattr(kitchen, name), name
        assert getattr(content.customer, name) == getattr(customer, name, ""), name
    for name in ("title", "window_start", "window_end", "hand_over", "place", "guests", "allergy_note"):
        assert getattr(content.event, name) == getattr(inquiry, name), name
    assert content.event.allergies == ("milk", "wheat")
    assert content.event.window_start.utcoffset() == content.sent_at.utcoffset() == timedelta(hours=-5)


@pytest.mark.parametrize(
    ("deposit", "words"),
    [
        ({"deposit_minor": 0}, ""),
        ({"deposit_minor": 1, "deposit_days": 0}, ", of which $0.01 is a deposit due at once"),
        ({"deposit_minor": 50_000, "deposit_days": 1}, ", of which $500.00 is a deposit due within 1 day"),
        ({"deposit_minor": 50_000, "deposit_days": 5}, ", of which $500.00 is a deposit due within 5 days"),
        (
            {"deposit_minor": 50_000, "deposit_days": 5, "deposit_latest_on": date(2027, 1, 12)},
            ", of which $500.00 is a deposit due within 5 days, at the latest on Tuesday, January 12, 2027",
        ),
        (
            {"deposit_minor": 50_000, "deposit_days": 5, "deposit_latest_on": date(2027, 1, 8)},
            ", of which $500.00 is a deposit due by Friday, January 8, 2027",
        ),
    ],
)
def test_the_words_agreed_to_name_quote_kitchen_day_total_and_deposit(
    kitchen: Kitchen, deposit: dict[str, Any], words: str
) -> None:
    content = replace(content_for(draft_make(), kitchen), total_minor=195_876, **deposit)
    Kitchen.objects.update(currency="JPY")
    with display.kitchen_display(Kitchen.objects.get()):
        assert statement_of(content) == (
            f"I approve quote {content.number}, revision 1, from Larkspur Lane Desserts for Saturday, February 6, "
            f"2027, and commit to pay a total of $1,958.76{words}. I have read its allergen information and its "
            "terms, and I am authorized to place this order."
        )


def test_each_line_extra_charge_and_tax_is_in_the_content_as_priced(kitchen: Kitchen) -> None:
    lines = (line_make("walnut-cake", 1, unit_price_minor=20_001), line_make("custard-tart", 78))
    table = DessertTable(lines=lines, extras=(extra_make(),), discount=Decimal("0.125"), rush=True)
    quote = draft_save(quote_id=draft_make().pk, table=table, by=BY, at=NOW)
    Product.objects.filter(code="walnut-cake").update(description="Two tiers.", holding="Keep it cold.")
    catalog_changed()
    content = content_for(quote, kitchen)
    found = estimate(book_current(), brief_of_quote(Quote.objects.get(pk=quote.pk)))

    cake, tart = content.lines
    assert (cake.product, cake.name, cake.description) == ("walnut-cake", "Walnut sponge cake, two tiers", "Two tiers.")
    assert (cake.units, cake.servings, cake.unit_price_minor, cake.amount_minor) == (1, 40, 20_001, 20_001)
    assert (cake.tax, tart.tax, cake.allergens) == ("food", "food", ("eggs", "milk", "walnuts"))
    assert cake.holding.startswith("Keep it cold.")
    assert (tart.units, tart.servings, tart.amount_minor) == (78, 78, 78 * tart.unit_price_minor)
    assert content.extras == (Charge("extra", "Cake stands", 4_500, "service", food="none"),)
    goods = cake.amount_minor + tart.amount_minor
    delivery = int(found.totals.delivery * 100)
    assert content.charges == (
        Charge("discount", "Discount of 12.5%", -half_up(Fraction(goods, 8)), "food"),
        Charge("surcharge", "Rush fee, 12.5%", half_up(Fraction(goods, 8)), "food"),
        *top_up(found.totals.top_up),
        Charge("delivery", "Delivery and setup", delivery, "food"),
    )
    food, service = content.taxes
    assert (food.code, food.name, food.untdid, food.exempt_reason, food.rate) == (
        "food",
        "Food",
        "S",
        "",
        Decimal("0.08"),
    )
    assert (service.code, service.rate, service.taxable_minor, service.tax_minor) == ("service", 0, 4_500, 0)


@pytest.mark.parametrize(("of_delivery", "split_too"), [("goods", True), ("service", False)])
def test_charges_are_split_over_the_tax_codes_of_all_the_goods(
    kitchen: Kitchen, of_delivery: str, split_too: bool
) -> None:
    """Two products of one code count together; the third is taxed as the service is."""
    Product.objects.filter(code="walnut-cake").update(tax=TaxCategory.objects.get(code="service"))
    Kitchen.objects.update(order_minimum=0)
    taxed = None if split_too else TaxCategory.objects.get(code="service")
    Kitchen.objects.update(delivery_tax=taxed)
    catalog_changed()
    units = {"walnut-cake": (1, 10_000), "custard-tart": (6, 500), "quince-square": (12, 250)}
    lines = tuple(line_make(code, count, unit_price_minor=price) for code, (count, price) in units.items())
    quote = draft_save(
        quote_id=draft_make().pk, table=DessertTable(lines=lines, discount=Decimal("0.01")), by=BY, at=NOW
    )
    content = content_for(quote, Kitchen.objects.get())

    discount = {charge.tax: charge.amount_minor for charge in content.charges if charge.kind == "discount"}
    assert discount == {"food": -60, "service": -100}
    delivery = {charge.tax: charge.amount_minor for charge in content.charges if charge.kind == "delivery"}
    whole = sum(delivery.values())
    assert whole > 0
    assert delivery == (allocate(whole, {"food": 6_000, "service": 10_000}) if split_too else {of_delivery: whole})


@pytest.mark.parametrize(("minutes", "name"), [(0, "Delivery"), (40, "Delivery and setup")])
def test_set_up_is_named_where_it_is_done(kitchen: Kitchen, minutes: int, name: str) -> None:
    content = content_for(draft_make(setup_minutes=Decimal(minutes)), kitchen)
    assert [charge.name for charge in content.charges if charge.kind == "delivery"] == [name]


def test_without_delivery_none_is_charged(kitchen: Kitchen) -> None:
    content = content_for(draft_make(hand_over="pickup"), kitchen)
    assert "delivery" not in {charge.kind for charge in content.charges}
    assert content.statement == statement_of(content) != ""


def top_up(amount: Fraction) -> tuple[Charge, ...]:
    return (Charge("top_up", "Minimum-order charge", int(amount * 100), "food"),) if amount else ()
