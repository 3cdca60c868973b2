"""Functions that create rows for tests through the product's services."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final
from unittest.mock import patch
from zoneinfo import ZoneInfo

from django.contrib.auth.models import Group, User

from catalog.book.revision import catalog_changed
from catalog.book.services import book_import
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.taxes.models import TaxCategory
from catalog.web.access import OWNER
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.inquiries.customer_services import CustomerData
from orders.inquiries.models import Customer, Inquiry
from orders.inquiries.services import InquiryData, inquiry_add
from orders.quotes.draft.dessert_table import DessertTable, TableExtra, TableLine
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from tests.made_once import made_once
from tests.remembered import next_key, remembered
from tests.sending import quote_send_seen
from tests.small_kitchen import small_book_bytes

ZONE = ZoneInfo("America/New_York")
#: A Wednesday morning in the kitchen's zone.
NOW = datetime(2027, 1, 6, 9, 0, tzinfo=ZONE)
#: The Saturday of the wedding that tests quote for.
EVENT = datetime(2027, 2, 6, 15, 30, tzinfo=ZONE)
BY = "maren"
PASSWORD = "a-long-test-password"


def user_make(role: str = OWNER, name: str = BY) -> User:
    """Make somebody who can sign in, in the role's group."""
    user = User.objects.create_user(name, password=PASSWORD)
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


#: The reason by which nothing in the small kitchen is hot; a review does not ask for it (`tests/conftest.py`).
STIRRED_COLD: Final = "Pasteurized yolks, stirred cold"


def _small_kitchen_import() -> None:
    """Import the small kitchen with nothing made hot: what is hot has to be answered before a quote is sent.

    `tests/cooling_kitchen.py` bakes its tart and says how it cools.
    """
    book_import(data=small_book_bytes())
    RecipeStep.objects.filter(kind="cook").update(kind="mix", temperature_c=None)
    Recipe.objects.update(never_hot=True, never_hot_reason=STIRRED_COLD)
    # What stands in an oven is hot, unless it states a temperature that is not.
    ProductStep.objects.filter(kind="bake").update(kind="finish", temperature_c=20)
    # What is filled in the cold spends none of its time out of it.
    cold_room = Station.objects.get(code="cold-room")
    ProductStep.objects.filter(name="Fill and stack").update(kind="fill", station=cold_room)
    ProductStep.objects.filter(product__code="rice-glass", kind="fill").update(station=cold_room)
    catalog_changed()


def kitchen_make(**profile: Any) -> Kitchen:
    """Import the small kitchen; ``profile`` sets columns of it afterwards."""
    made_once("small kitchen", _small_kitchen_import)
    if profile:
        Kitchen.objects.filter(pk=1).update(**profile)
    return Kitchen.objects.get(pk=1)


def customer_data(**facts: Any) -> CustomerData:
    """Return the data of the wedding's customer."""
    return CustomerData(**{"name": "Ida Fenwick", "email": "ida@fenwick.example", "phone": "555 0188", **facts})


def inquiry_data(**facts: Any) -> InquiryData:
    """Return the data of a wedding's inquiry."""
    start = facts.pop("window_start", EVENT)
    base: dict[str, Any] = {
        "title": "Wedding of Ida and Jonas",
        "window_start": start,
        "window_end": facts.pop("window_end", start + timedelta(minutes=30)),
        "place": "The Old Ropewalk, West Orrin",
        "km": Decimal("28"),
        "minutes": Decimal("35"),
        "crew": 2,
        "setup_minutes": Decimal("40"),
        "guests": 80,
        "pieces_per_guest": Decimal("2.5"),
        "budget_minor": 200_000,
        "allergies": ("tree-nuts",),
    }
    return InquiryData(**{**base, **facts})


def inquiry_make(*, at: datetime = NOW, customer: CustomerData | None = None, **facts: Any) -> Inquiry:
    """Add an inquiry with an empty draft. ``facts`` replace values of the wedding's data."""
    return inquiry_add(
        data=inquiry_data(**facts),
        customer=customer or customer_data(),
        idempotency_key=next_key(Inquiry, 24),
        by=BY,
        at=at,
    )


def customer_make(**facts: Any) -> Customer:
    """Return a customer with one inquiry."""
    return inquiry_make(customer=customer_data(**facts)).customer


def line_make(code: str, units: int, **more: Any) -> TableLine:
    """Return a line of a table for a product of the small kitchen."""
    return TableLine(product_id=Product.objects.get(code=code).pk, code=code, units=units, **more)


def extra_make(name: str = "Cake stands", amount_minor: int = 4500, cost_minor: int = 1800) -> TableExtra:
    """Return a one-off rental, taxed as a service."""
    tax = TaxCategory.objects.get(code="service")
    return TableExtra(name, cost_minor, amount_minor, tax.pk, tax.code, food="none")


def table_make(**changes: Any) -> DessertTable:
    """Return the wedding's table: three portions by share, a cake, and rented stands."""
    table = DessertTable(
        lines=(
            line_make("custard-tart", 78, share=Decimal("0.4")),
            line_make("rice-glass", 72, share=Decimal("0.35")),
            line_make("quince-square", 60, share=Decimal("0.25")),
            line_make("walnut-cake", 1),
        ),
        extras=(extra_make(),),
    )
    return DessertTable(**{"lines": table.lines, "extras": table.extras, **changes})


@remembered
def draft_make(*, at: datetime = NOW, table: DessertTable | None = None, **facts: Any) -> Quote:
    """Return a draft quote with the wedding's table saved."""
    inquiry = inquiry_make(at=at, **facts)
    quote = inquiry.quotes.get()
    return draft_save(quote_id=quote.pk, table=table or table_make(), by=BY, at=at)


@remembered
def sent_make(*, at: datetime = NOW, table: DessertTable | None = None, pdf: bool = True, **facts: Any) -> Quote:
    """Return a quote that was sent; with ``pdf`` a file stands in for its PDF, which takes long to make."""
    quote = quote_send_seen(quote_id=draft_make(at=at, table=table, **facts).pk, by=BY, at=at)
    return pdf_stored(quote) if pdf else quote


def pdf_stored(quote: Quote) -> Quote:
    """Do the outbox's work on the PDF of a sent quote, with a file in its place; its mail is requested by that."""
    row = Outbox.objects.get(kind="quote_pdf", about=f"quote:{quote.pk}")
    with patch("orders.documents.store.pdf_of", return_value=b"%PDF-1.7 in place of a quote"):
        assert outbox_run(row_id=row.pk, at=row.run_after)
    return Quote.objects.select_related("inquiry__customer", "pdf").get(pk=quote.pk)


@remembered
def approved_make(*, at: datetime = NOW, **facts: Any) -> Quote:
    """Return a quote the customer approved an hour after it was sent."""
    quote = sent_make(at=at, **facts)
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        evidence=ApprovalEvidence(),
        at=at + timedelta(hours=1),
    )
    quote.refresh_from_db()
    return quote
