"""A draft or a row that another window has just removed: a page in words, and nothing that was entered is lost."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.models import Ingredient, Supplier
from catalog.pantry.services import ingredient_delete, ingredient_save, supplier_delete
from catalog.products.models import Product
from catalog.products.services import product_delete
from catalog.rates.models import MonthlyCost, Station
from catalog.rates.services import station_delete
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import Invoice, Payment
from orders.invoices.services import invoice_discard, invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from tests import factories
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import text
from tests.integration.forms_on_pages import edit_form_of, forms_of

pytestmark = pytest.mark.django_db
Between = Callable[[str, Callable[[], Any]], None]
GONE = "is no longer there: somebody removed it"


@pytest.fixture
def owner(client: Client) -> Client:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    return client


@pytest.fixture
def between(monkeypatch: pytest.MonkeyPatch) -> Between:
    """Let another window act after a view has looked, and before the service it calls begins."""

    def act_before(service: str, act: Callable[[], Any]) -> None:
        module, _, name = service.rpartition(".")
        original = getattr(__import__(module, fromlist=[name]), name)

        def overtaken(*args: Any, **kwargs: Any) -> Any:
            act()
            return original(*args, **kwargs)

        monkeypatch.setattr(service, overtaken)

    return act_before


def draft_invoice() -> Invoice:
    return invoice_draft(order_id=Order.objects.get(quote=factories.approved_make()).pk, by=BY, at=NOW)


def post(owner: Client, address: str, **data: Any) -> Any:
    return owner.post(address, data, headers={"Origin": "http://testserver"})


class TestInvoiceDraft:
    """One window discards the draft, the other goes on."""

    @pytest.mark.parametrize("name", ["invoice-issue", "invoice-discard"])
    def test_a_discarded_draft_is_not_found(self, owner: Client, name: str) -> None:
        draft = draft_invoice()
        assert post(owner, reverse("invoice-discard", args=[draft.pk])).status_code == 302
        page = post(owner, reverse(name, args=[draft.pk]))
        assert page.status_code == 404
        assert not Invoice.objects.exists()

    @pytest.mark.parametrize("name", ["issue", "discard"])
    def test_a_draft_discarded_at_this_moment_is_reported(self, owner: Client, name: str, between: Between) -> None:
        draft = draft_invoice()
        between(f"orders.invoices.views.invoice_{name}", lambda: invoice_discard(invoice_id=draft.pk, by=BY, at=NOW))
        page = post(owner, reverse(f"invoice-{name}", args=[draft.pk]))
        assert page.status_code == 404
        assert GONE in text(page)
        assert not Invoice.objects.exists()

    @pytest.mark.parametrize("name", ["issue", "discard"])
    def test_a_draft_issued_at_this_moment_is_reported(self, owner: Client, name: str, between: Between) -> None:
        draft = draft_invoice()
        between(f"orders.invoices.views.invoice_{name}", lambda: invoice_issue(invoice_id=draft.pk, by=BY, at=NOW))
        page = post(owner, reverse(f"invoice-{name}", args=[draft.pk]))
        assert page.status_code == 409
        assert "so you cannot" in text(page)
        assert Invoice.objects.get().number

    def test_a_payment_is_recorded_whatever_happens_to_the_draft(self, owner: Client) -> None:
        draft = draft_invoice()
        address = reverse("order-pay", args=[draft.order_id])
        form = next(form for form in forms_of(owner.get(address)) if "idempotency_key" in form.fields)
        invoice_discard(invoice_id=draft.pk, by=BY, at=NOW)
        assert post(owner, address, **form.data(amount="100", means="30")).status_code == 302
        assert Payment.objects.get().amount_minor == 10_000


class TestQuoteDraft:
    """One window discards the draft quote, the other goes on."""

    @pytest.fixture
    def draft(self, owner: Client) -> Quote:
        return factories.draft_make()

    def test_saving_the_table_of_a_discarded_draft_is_refused_in_words(self, owner: Client, draft: Quote) -> None:
        page = owner.get(reverse("inquiry", args=[draft.inquiry_id]))
        quote_withdraw(quote_id=draft.pk, by=BY, at=NOW)
        answer = post(owner, reverse("quote-draft", args=[draft.pk]), **edit_form_of(page).data(do="save"))
        assert answer.status_code == 422
        assert "only a draft can be changed" in text(answer)

    def test_saving_its_terms_is_refused_and_the_note_can_be_copied(self, owner: Client, draft: Quote) -> None:
        address = reverse("quote-terms", args=[draft.pk])
        form = edit_form_of(owner.get(address))
        quote_withdraw(quote_id=draft.pk, by=BY, at=NOW)
        answer = post(owner, address, **form.data(note="We look forward to it."))
        assert answer.status_code == 422
        assert "We look forward to it." in text(answer)

    @pytest.mark.parametrize(
        ("name", "data"),
        [("quote-send", {"total_minor": "1"}), ("quote-override", {"reason": "A friend"}), ("quote-withdraw", {})],
    )
    def test_sending_and_withdrawing_it_are_refused_in_words(
        self, owner: Client, draft: Quote, name: str, data: dict[str, str]
    ) -> None:
        quote_withdraw(quote_id=draft.pk, by=BY, at=NOW)
        assert post(owner, reverse(name, args=[draft.pk]), **data).status_code in (302, 404, 409, 422)

    def test_a_draft_whose_row_is_gone_is_reported(self, owner: Client, draft: Quote, between: Between) -> None:
        def remove() -> None:
            draft.lines.all().delete()
            draft.extras.all().delete()
            Quote.objects.filter(pk=draft.pk).delete()

        address = reverse("quote-terms", args=[draft.pk])
        form = edit_form_of(owner.get(address))
        between("orders.quotes.draft.terms_views.draft_terms", remove)
        page = post(owner, address, **form.data(note="We look forward to it."))
        assert page.status_code == 404
        assert GONE in text(page)
        assert "We look forward to it." in text(page)


def test_a_customer_chosen_for_an_inquiry_is_gone(owner: Client, between: Between) -> None:
    chosen = Customer.objects.create(name="Ida", created_at=NOW)
    address = f"{reverse('inquiry-new')}?customer={chosen.pk}"
    form = next(form for form in forms_of(owner.get(address)) if "title" in form.fields)
    between("orders.inquiries.views.inquiry_add", lambda: Customer.objects.filter(pk=chosen.pk).delete())
    data = form.data(title="Spring fair", day="2027-02-06", start="15:30", end="16:00")
    page = post(owner, reverse("inquiry-new"), **data)
    assert page.status_code == 404
    assert "Spring fair" in text(page)
    assert not Inquiry.objects.exists()


def _unused() -> Ingredient:
    data = {"name": "Gold leaf", "base": "g", "yield_share": Decimal(1), "allergens": []}
    return ingredient_save(ingredient_id=None, data=data, parts=[])


def test_a_price_of_an_ingredient_that_is_gone(owner: Client, between: Between) -> None:
    good = _unused()
    between("catalog.pantry.services.pack_add", lambda: ingredient_delete(ingredient_id=good.pk))
    data = {"size": "1 kg", "price": "2.00", "starts": str(date(2027, 1, 6)), "supplier": ""}
    page = post(owner, reverse("pack-add", args=[good.pk]), **data)
    assert page.status_code == 404
    assert GONE in text(page)


@pytest.mark.parametrize("deed", ["edit", "delete"])
def test_a_supplier_that_is_gone(owner: Client, between: Between, deed: str) -> None:
    supplier = Supplier.objects.create(name="Mill")
    address = reverse("supplier" if deed == "edit" else "supplier-delete", args=[supplier.pk])
    service = "supplier_save" if deed == "edit" else "supplier_delete"
    data = edit_form_of(owner.get(address)).data(note="Closed on Mondays") if deed == "edit" else {}
    between(f"catalog.pantry.supplier_views.{service}", lambda: supplier_delete(supplier_id=supplier.pk))
    page = post(owner, address, **data)
    assert page.status_code in (404, 409)
    if deed == "edit":
        assert "Closed on Mondays" in text(page)


@pytest.mark.django_db(transaction=True)
class TestChosenMeanwhile:
    """A row that a form names is removed before the form is saved: the database refuses, in words."""

    def test_a_product_of_the_table(self, owner: Client, between: Between) -> None:
        draft = factories.draft_make()
        cake = draft.lines.get(product__code="walnut-cake")
        page = owner.get(reverse("inquiry", args=[draft.inquiry_id]))
        form = edit_form_of(page)
        cake.delete()
        version = edit_form_of(owner.get(reverse("inquiry", args=[draft.inquiry_id]))).fields["version"]
        between(
            "orders.quotes.draft.views.draft_save", lambda: product_delete(product_id=cake.product_id, by=BY, at=NOW)
        )
        answer = post(owner, reverse("quote-draft", args=[draft.pk]), **form.data(do="save", version=version))
        assert answer.status_code == 409
        assert "was removed" in text(answer)
        assert not Product.objects.filter(pk=cake.product_id).exists()
        assert draft.lines.count() == 3

    def test_a_station_that_carries_a_monthly_figure(self, owner: Client, between: Between) -> None:
        station = Station.objects.create(code="extra", name="Extra oven", kind="oven", position=99)
        form = edit_form_of(owner.get(reverse("kitchen-overhead")))
        row = {"costs-0-name": "Power", "costs-0-amount": "40", "costs-0-carrier": f"station-{station.pk}"}
        before = MonthlyCost.objects.count()
        between("catalog.rates.overhead_views.overhead_save", lambda: station_delete(station_id=station.pk))
        page = post(owner, reverse("kitchen-overhead"), **form.data(**row))
        assert page.status_code == 409
        assert MonthlyCost.objects.count() == before


def test_what_the_database_refuses_by_a_rule_of_its_own_stays_a_mistake(
    owner: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(**_: Any) -> None:
        MonthlyCost.objects.create(name="Rent", amount=Decimal(1), carrier="station")

    monkeypatch.setattr("catalog.pantry.supplier_views.supplier_save", wrong)
    owner.raise_request_exception = False
    assert post(owner, reverse("supplier-new"), name="Mill").status_code == 500
