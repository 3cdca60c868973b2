"""Two windows change one record: the second one is shown both versions, and saving again is a decision."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.services import book_import
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.molds.models import Mold
from catalog.molds.services import MoldData, mold_save
from catalog.pantry.models import Ingredient, Supplier
from catalog.products.models import Product
from catalog.rates.models import MonthlyCost, Role
from catalog.recipes.models import Recipe
from catalog.records.errors import ChangedMeanwhile, Overtaken
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests import factories
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of
from tests.small_kitchen import small_book_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    return client


class Window:
    """A page with an edit form, open in a browser."""

    def __init__(self, client: Client, address: str, *, to: str = "", do: str = "") -> None:
        self.client, self.address, self.to, self.do = client, address, to or address, do
        self.form = edit_form_of(client.get(address))

    def save(self, **entered: Any) -> Any:
        """Save the form with some fields changed; the window then shows the answer's form, if it has one."""
        data = self.form.data(**entered) | ({"do": self.do} if self.do else {})
        page = self.client.post(self.to, data)
        if page.status_code != 302:
            self.form = edit_form_of(page)
        return page


def test_two_windows_that_change_different_fields_lose_neither(owner: Client) -> None:
    customer = factories.customer_make()
    address = reverse("customer-edit", args=[customer.pk])
    one, other = Window(owner, address), Window(owner, address)
    assert one.save(phone="555 0101").status_code == 302
    page = other.save(address="The Old Ropewalk")
    assert page.status_code == 409
    assert "It was changed elsewhere while you had it open." in text(page)
    assert "Phone: saved now 555 0101 , before 555 0188" in text(page)
    assert "Address: saved now nothing , you entered The Old Ropewalk" in text(page)
    customer.refresh_from_db()
    assert (customer.phone, customer.address) == ("555 0101", "")
    assert other.save().status_code == 302
    customer.refresh_from_db()
    assert (customer.phone, customer.address) == ("555 0101", "The Old Ropewalk")


def test_of_a_field_that_both_changed_what_was_entered_stands_in_the_form(owner: Client) -> None:
    inquiry = factories.inquiry_make()
    address = reverse("inquiry-edit", args=[inquiry.pk])
    one, other = Window(owner, address), Window(owner, address)
    one.save(guests="90", allergies=["milk", "tree-nuts"])
    page = other.save(guests="120")
    assert "Guests: saved now 90 , you entered 120" in text(page)
    assert "Allergies and diets: saved now milk, tree nuts (all) , before" in text(page)
    assert other.form.fields["guests"] == ["120"]
    assert other.form.fields["allergies"] == ["milk", "tree-nuts"]
    assert f'href="{address}">use what is saved' in page.content.decode()
    assert other.save().status_code == 302
    inquiry.refresh_from_db()
    assert (inquiry.guests, inquiry.allergies) == (120, ["milk", "tree-nuts"])


def test_a_third_save_between_is_shown_again(owner: Client) -> None:
    supplier = Supplier.objects.create(name="Mill")
    address = reverse("supplier", args=[supplier.pk])
    one, other = Window(owner, address), Window(owner, address)
    one.save(note="Closed on Mondays")
    other.save(note="Closed on Tuesdays")
    third = Window(owner, address)
    third.save(note="Closed on Fridays")
    page = other.save()
    assert page.status_code == 409
    assert "saved now Closed on Fridays , you entered Closed on Tuesdays" in text(page)


def test_the_same_form_sent_twice_is_no_conflict(owner: Client) -> None:
    role = Role.objects.earliest("pk")
    address = reverse("kitchen-roles-edit", args=[role.pk])
    one, again = Window(owner, address), Window(owner, address)
    assert one.save(hourly="31").status_code == 302
    assert again.save(hourly="$31.00").status_code == 302


def test_a_form_that_cannot_be_read_keeps_the_version_it_was_opened_with(owner: Client) -> None:
    role = Role.objects.earliest("pk")
    address = reverse("kitchen-roles-edit", args=[role.pk])
    one, other = Window(owner, address), Window(owner, address)
    one.save(hourly="31")
    version = other.form.fields["version"]
    other.save(on_cost="much")
    assert other.form.fields["version"] == version
    assert other.save(on_cost="20").status_code == 409


def test_a_form_opened_before_it_carried_marks_lists_every_difference(owner: Client) -> None:
    role = Role.objects.earliest("pk")
    window = Window(owner, reverse("kitchen-roles-edit", args=[role.pk]))
    Role.objects.filter(pk=role.pk).update(hourly=Decimal(44))
    page = window.save(version=window.form.fields["version"][0].partition(".")[0])
    assert page.status_code == 409
    assert "Hourly pay: saved now 44.00 , you entered" in text(page)
    assert window.form.fields["hourly"] != ["44.00"]


@pytest.mark.parametrize("version", ["x", ".", "a.b.c", "ü" * 300, "\x00", "0" * 20 + "." + "A" * 5000])
def test_any_other_text_as_a_version_is_an_old_one(owner: Client, version: str) -> None:
    supplier = Supplier.objects.create(name="Mill")
    page = Window(owner, reverse("supplier", args=[supplier.pk])).save(version=version, note="x")
    assert page.status_code == 409


def test_what_is_no_field_of_the_form_is_none_of_its_versions_business(owner: Client) -> None:
    overhead, delivery, profile = (
        Window(owner, reverse(name)) for name in ("kitchen-overhead", "kitchen-delivery", "kitchen-profile")
    )
    assert profile.save(phone="555 0100").status_code == 302
    assert overhead.save(monthly_orders="31").status_code == 302
    assert delivery.save(margin="12").status_code == 302
    home = Kitchen.objects.get()
    assert (home.phone, home.monthly_orders, home.delivery_margin) == ("555 0100", 31, Decimal("0.12"))


def test_two_windows_of_the_profile(owner: Client) -> None:
    address = reverse("kitchen-profile")
    one, other = Window(owner, address), Window(owner, address)
    one.save(distance="mi", floor_margin="41")
    page = other.save(phone="555 0100")
    assert "Floor margin: saved now 41 , before" in text(page)
    assert other.save().status_code == 302
    home = Kitchen.objects.get()
    assert (home.distance, home.floor_margin, home.phone) == ("mi", Decimal("0.41"), "555 0100")


def test_rows_that_only_the_other_window_changed_are_taken_from_it(owner: Client) -> None:
    address = reverse("kitchen-hours")
    one, other = Window(owner, address), Window(owner, address)
    total = int(one.form.fields["closed-TOTAL_FORMS"][0])
    rows = {f"closed-{total - 1}-date": "2027-12-24", f"closed-{total - 1}-reason": "Holiday"}
    assert one.save(**rows).status_code == 302
    page = other.save(**{"week-0-closes": "15:00"})
    assert page.status_code == 409
    assert "2027-12-24, Holiday" in text(page)
    assert other.save().status_code == 302
    assert ClosedDay.objects.filter(reason="Holiday").exists()
    assert OpenHours.objects.filter(closes="15:00").exists()


def test_rows_that_both_changed_are_listed_one_by_one(owner: Client) -> None:
    address = reverse("kitchen-overhead")
    MonthlyCost.objects.all().delete()
    MonthlyCost.objects.create(name="Rent", amount=Decimal(900), position=0)
    one, other = Window(owner, address), Window(owner, address)
    assert one.save(**{"costs-1-name": "Water", "costs-1-amount": "40"}).status_code == 302
    page = other.save(**{"costs-0-amount": "950", "costs-1-name": "Power", "costs-1-amount": "120"})
    assert page.status_code == 409
    assert "Row 1: saved now Rent, 900.00 , you entered Rent, 950" in text(page)
    assert "Row 2: saved now Water, 40.00 , you entered Power, 120" in text(page)
    assert sorted(MonthlyCost.objects.values_list("name", flat=True)) == ["Rent", "Water"]
    assert other.save().status_code == 302
    assert sorted(MonthlyCost.objects.values_list("name", flat=True)) == ["Power", "Rent"]


def test_two_windows_of_a_recipe_change_two_lines(owner: Client) -> None:
    recipe = Recipe.objects.get(code="custard")
    address = reverse("recipe-edit", args=[recipe.pk])
    one, other = Window(owner, address, do="save"), Window(owner, address, do="save")
    amount = one.form.fields["lines-1-amount"][0]
    assert one.save(**{"lines-1-amount": "777 g"}).status_code == 302
    page = other.save(**{"lines-0-amount": "888 g"})
    assert page.status_code == 409
    assert f"Line 2, Amount: saved now 777 g , before {amount}" in text(page)
    assert other.save().status_code == 302
    assert [line.amount for line in recipe.lines.all()][:2] == ["888 g", "777 g"]


def test_a_button_that_moves_rows_keeps_the_version(owner: Client) -> None:
    recipe = Recipe.objects.get(code="custard")
    address = reverse("recipe-edit", args=[recipe.pk])
    window = Window(owner, address)
    version = window.form.fields["version"]
    Recipe.objects.filter(pk=recipe.pk).update(note="Changed elsewhere")
    window.save(do="lines-down-0")
    assert window.form.fields["version"] == version
    assert window.save(do="save").status_code == 409
    assert window.form.fields["note"] == ["Changed elsewhere"]


def test_another_form_moves_the_version_of_what_it_changes(owner: Client) -> None:
    mold = Mold.objects.create(name="Ring", shape="round", diameter_cm=Decimal(24), owned=4)
    product = Product.objects.get(code="walnut-cake")
    Product.objects.filter(pk=product.pk).update(mold=mold, load=4)
    window = Window(owner, reverse("product-edit", args=[product.pk]), do="save")
    facts = {name: getattr(mold, name) for name in MoldData.__dataclass_fields__}
    mold_save(mold_id=mold.pk, data=MoldData(**{**facts, "owned": mold.owned + 3}), by=BY, at=NOW)
    page = window.save(description="A new sentence.")
    assert page.status_code == 409
    assert f"Units per load: saved now {mold.owned + 3} , before" in text(page)


@pytest.mark.django_db(transaction=True)
def test_an_imported_kitchen_moves_the_versions_of_what_it_changes(client: Client) -> None:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    good = Ingredient.objects.exclude(density=None).earliest("pk")
    window = Window(client, reverse("ingredient", args=[good.pk]))
    Ingredient.objects.filter(pk=good.pk).update(density=Decimal("0.1"))
    changed = Window(client, reverse("ingredient", args=[good.pk]))
    book_import(data=small_book_bytes())
    assert window.save(note="From the mill").status_code == 302
    assert changed.save(note="From the dairy").status_code == 409


class TestDraft:
    """Two windows of the same draft."""

    @pytest.fixture
    def quote(self, owner: Client) -> Quote:
        return factories.draft_make()

    def window(self, owner: Client, quote: Quote) -> Window:
        page, to = reverse("inquiry", args=[quote.inquiry_id]), reverse("quote-draft", args=[quote.pk])
        return Window(owner, page, to=to, do="save")

    def test_two_rows_of_one_table(self, owner: Client, quote: Quote) -> None:
        one, other = self.window(owner, quote), self.window(owner, quote)
        assert one.save(**{"lines-0-units": "90"}).status_code == 302
        page = other.save(**{"lines-3-units": "2"})
        assert page.status_code == 409
        assert "Product 1, Quantity: saved now 90 , before 78" in text(page)
        assert f'href="{reverse("inquiry", args=[quote.inquiry_id])}">use what is saved' in page.content.decode()
        assert other.save().status_code == 302
        assert [line.units for line in quote.lines.all()] == [90, 72, 60, 2]

    def test_guests_are_saved_with_the_table_and_belong_to_its_version(self, owner: Client, quote: Quote) -> None:
        other = self.window(owner, quote)
        address = reverse("inquiry-edit", args=[quote.inquiry_id])
        assert Window(owner, address).save(guests="140").status_code == 302
        page = other.save(discount="5")
        assert page.status_code == 409
        assert "Guests: saved now 140 , before 80" in text(page)
        assert other.save().status_code == 302
        assert Inquiry.objects.get().guests == 140

    def test_a_keystroke_saves_nothing_and_sees_no_version(self, owner: Client, quote: Quote) -> None:
        one, other = self.window(owner, quote), self.window(owner, quote)
        one.save(**{"lines-0-units": "90"})
        live = owner.post(other.to, other.form.data(**{"lines-3-units": "2"}), headers={"HX-Request": "true"})
        assert live.status_code == 200
        assert b'name="version"' not in live.content
        assert [line.units for line in quote.lines.all()] == [90, 72, 60, 1]

    def test_a_row_both_windows_added_is_one_row(self, owner: Client, quote: Quote) -> None:
        quote.lines.get(product__code="walnut-cake").delete()
        cake = Product.objects.get(code="walnut-cake")
        one, other = self.window(owner, quote), self.window(owner, quote)
        row = {"lines-3-product": str(cake.pk), "lines-3-units": "1"}
        assert one.save(**row).status_code == 302
        assert other.save(**row).status_code == 302
        assert [line.units for line in quote.lines.all()] == [78, 72, 60, 1]

    def test_a_reason_for_going_below_the_floor_is_about_the_table_that_was_seen(
        self, owner: Client, quote: Quote
    ) -> None:
        self.window(owner, quote).save(discount="60")
        address = reverse("quote-send", args=[quote.pk])
        form = edit_form_of(owner.get(address)).data(reason="Our first wedding here")
        self.window(owner, quote).save(discount="70")
        sent_to, headers = reverse("quote-override", args=[quote.pk]), {"Origin": "http://testserver"}
        page = owner.post(sent_to, form, headers=headers)
        assert page.status_code == 409
        assert "The table of" in text(page)
        assert "Our first wedding here" in text(page)
        fresh = edit_form_of(owner.get(address)).data(reason="Our first wedding here")
        assert owner.post(sent_to, fresh).status_code == 302
        quote.refresh_from_db()
        assert quote.override_reason == "Our first wedding here"

    def test_two_windows_of_the_terms(self, owner: Client, quote: Quote) -> None:
        address = reverse("quote-terms", args=[quote.pk])
        one, other = Window(owner, address), Window(owner, address)
        assert one.save(deposit="50", note="See you soon").status_code == 302
        page = other.save(deposit="25")
        assert "Deposit, % of total: saved now 50 , you entered 25" in text(page)
        assert other.form.fields["note"] == ["See you soon"]
        assert other.save().status_code == 302
        quote.refresh_from_db()
        assert (quote.deposit_share, quote.note) == (Decimal("0.25"), "See you soon")


def test_two_windows_of_an_orders_note(owner: Client) -> None:
    order = Order.objects.get(quote=factories.approved_make())
    page, to = reverse("order", args=[order.pk]), reverse("order-note", args=[order.pk])
    one, other = Window(owner, page, to=to), Window(owner, page, to=to)
    assert one.save(note="Nuts apart").status_code == 302
    answer = other.save(note="Call before you come")
    assert answer.status_code == 409
    assert "saved now Nuts apart , you entered Call before you come" in text(answer)
    assert other.save().status_code == 302
    order.refresh_from_db()
    assert order.note == "Call before you come"


def test_a_record_that_was_deleted_is_not_found_and_what_was_entered_can_be_copied(owner: Client) -> None:
    supplier = Supplier.objects.create(name="Mill")
    window = Window(owner, reverse("supplier", args=[supplier.pk]))
    supplier.delete()
    data = window.form.data(note="Closed on Mondays")
    page = owner.post(window.address, data, headers={"Origin": "http://testserver"})
    assert page.status_code == 404
    assert "Closed on Mondays" in text(page)


def test_a_service_refuses_an_old_version_and_takes_the_present_one(owner: Client) -> None:
    mold = Mold.objects.create(name="Ring", shape="round", diameter_cm=Decimal(24), owned=4)
    data = MoldData(name="Ring", shape="round", owned=5, diameter_cm=Decimal(24))
    with pytest.raises(Overtaken):
        mold_save(mold_id=mold.pk, data=data, version="old", by=BY, at=NOW)
    with pytest.raises(ChangedMeanwhile):
        mold_save(mold_id=mold.pk + 1, data=data, version="old", by=BY, at=NOW)


def test_customers_have_no_version_that_a_new_order_moves(owner: Client) -> None:
    customer = factories.customer_make()
    window = Window(owner, reverse("customer-edit", args=[customer.pk]))
    factories.approved_make()
    assert window.save(note="Pays early").status_code == 302
    assert Customer.objects.get(pk=customer.pk).note == "Pays early"
