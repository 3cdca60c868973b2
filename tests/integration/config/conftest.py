"""A kitchen with one record of each kind, for tests that walk every page."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient, Supplier
from catalog.price_lists.services import price_list_compare, price_list_upload
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe
from catalog.spreadsheets.services import spreadsheet_compare, spreadsheet_upload
from catalog.taxes.models import TaxCategory
from catalog.vessels.models import Vessel
from catalog.web.access import KITCHEN
from orders.inquiries.models import Customer
from orders.invoices.payments import payment_record
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from tests import factories
from tests.factories import BY, NOW


@pytest.fixture
def records(settings: Any, tmp_path: Path) -> dict[str, list[int]]:
    """Make one record of each kind; return the keys that addresses beginning like this can name."""
    settings.EMAIL_FILE_PATH = tmp_path
    factories.kitchen_make()
    draft, sent, approved = factories.draft_make(), factories.sent_make(), factories.approved_make()
    cheap = factories.draft_make(table=factories.table_make(discount=Decimal("0.6")))
    order = Order.objects.get(quote=approved)
    issued = invoice_issue(invoice_id=invoice_draft(order_id=order.pk, by=BY, at=NOW).pk, mail=False, by=BY, at=NOW)
    second = Order.objects.get(quote=factories.approved_make(title="The second wedding"))
    unissued = invoice_draft(order_id=second.pk, by=BY, at=NOW)
    payment = payment_record(
        order_id=order.pk, kind="payment", method="30", amount_minor=100, received_on=date(2027, 1, 6),
        idempotency_key="key", by=BY, at=NOW,
    )  # fmt: skip
    body = b"item,pack,price\nflour,1 kg,2\n"
    prices = price_list_upload(supplier="Mill", file_name="a.csv", body=body, starts=date(2027, 1, 6), by=BY, at=NOW)
    lists = [prices.pk]
    for body in (b"item,pack,price\nflour,1 kg,2\nSaffron,1 g,4\n", b"Flour,1 kg,2\n"):
        read = price_list_upload(supplier="Mill", file_name="b.csv", body=body, starts=date(2027, 1, 6), by=BY, at=NOW)
        price_list_compare(price_list_id=read.pk)
        lists.append(read.pk)
    sheets = []
    for body in (
        b"",
        b"Recipe,Amount,Ingredient\nPraline,90 g,Flour\nGlaze,9 oz,Milk\nGlaze,,Flour\n",
        b"Teig,200 g\n",
    ):
        sheet = spreadsheet_upload(holds="recipes", file_name="mine.csv", body=body or b"Teig", by=BY, at=NOW)
        if body:
            spreadsheet_compare(spreadsheet_id=sheet.pk)
        sheets.append(sheet.pk)
    Product.objects.filter(code="quince-square").update(usual_pieces=2)
    PriceRule.objects.get_or_create(code="house", defaults={"margin": Decimal("0.5")})
    Mold.objects.get_or_create(name="Ring", defaults={"shape": "round", "diameter_cm": Decimal(24), "owned": 4})
    Vessel.objects.get_or_create(name="Tub", defaults={"diameter_cm": Decimal(24), "height_cm": Decimal(10)})
    first = {
        "/catalog/ingredients/": Ingredient, "/catalog/suppliers/": Supplier, "/catalog/molds/": Mold,
        "/catalog/vessels/": Vessel,
        "/catalog/recipes/": Recipe, "/catalog/products/": Product, "/kitchen/labor/": Role,
        "/kitchen/stations/": Station, "/kitchen/price-rules/": PriceRule, "/kitchen/taxes/": TaxCategory,
        "/inquiries/customers/": Customer,
    }  # fmt: skip
    return {
        start: [model._default_manager.order_by("pk").values_list("pk", flat=True)[0]] for start, model in first.items()
    } | {
        "/inquiries/": [draft.inquiry_id, sent.inquiry_id],
        "/quotes/": [draft.pk, sent.pk, approved.pk, cheap.pk],
        "/orders/": [order.pk, second.pk],
        "/kitchen/people/": [factories.user_make(KITCHEN, "kim").pk],
        "/money/invoices/": [issued.pk, unissued.pk],
        "/money/payments/": [payment.pk],
        "/catalog/price-lists/": lists,
        "/catalog/spreadsheets/": sheets,
    }
