"""Plain functions that bring a test's rows about through the services that make them in life."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import Group, User
from django.utils.crypto import get_random_string

from catalog.access import OWNER
from catalog.models import Kitchen, Product, TaxCategory
from catalog.services.books import book_import
from orders.briefs import Table, TableExtra, TableLine
from orders.models import Customer, Enquiry, Quote
from orders.services.answers import Witness, quote_approve
from orders.services.customers import CustomerFacts
from orders.services.drafts import draft_keep
from orders.services.enquiries import EnquiryFacts, enquiry_add
from orders.services.quotes import quote_send
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


def kitchen_make(**profile: Any) -> Kitchen:
    """Import the small kitchen; ``profile`` sets columns of it afterwards."""
    book_import(data=small_book_bytes())
    if profile:
        Kitchen.objects.filter(pk=1).update(**profile)
    return Kitchen.objects.get(pk=1)


def customer_facts(**facts: Any) -> CustomerFacts:
    """Return what is known of the couple's contact."""
    return CustomerFacts(**{"name": "Ida Fenwick", "email": "ida@fenwick.example", "phone": "555 0188", **facts})


def enquiry_facts(**facts: Any) -> EnquiryFacts:
    """Return a wedding's wishes."""
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
    return EnquiryFacts(**{**base, **facts})


def enquiry_make(*, at: datetime = NOW, customer: CustomerFacts | None = None, **facts: Any) -> Enquiry:
    """Take an enquiry down; it comes with an empty draft. ``facts`` replace the wedding's wishes."""
    return enquiry_add(
        facts=enquiry_facts(**facts),
        customer=customer or customer_facts(),
        once=get_random_string(24),
        by=BY,
        at=at,
    )


def customer_make(**facts: Any) -> Customer:
    """Return a customer who asked once."""
    return enquiry_make(customer=customer_facts(**facts)).customer


def line_make(code: str, units: int, **more: Any) -> TableLine:
    """Return a line of a table for a product of the small kitchen."""
    return TableLine(product_id=Product.objects.get(code=code).pk, code=code, units=units, **more)


def extra_make(name: str = "Cake stands", amount_minor: int = 4500, cost_minor: int = 1800) -> TableExtra:
    """Return one-off hire, taxed as a service."""
    tax = TaxCategory.objects.get(code="service")
    return TableExtra(name, cost_minor, amount_minor, tax.pk, tax.code)


def table_make(**changes: Any) -> Table:
    """Return the wedding's table: three portions by share, a cake beside them, stands on hire."""
    table = Table(
        lines=(
            line_make("custard-tart", 78, share=Decimal("0.4")),
            line_make("rice-glass", 72, share=Decimal("0.35")),
            line_make("quince-square", 60, share=Decimal("0.25")),
            line_make("walnut-cake", 1),
        ),
        extras=(extra_make(),),
    )
    return Table(**{"lines": table.lines, "extras": table.extras, **changes})


def draft_make(*, at: datetime = NOW, table: Table | None = None, **facts: Any) -> Quote:
    """Return a draft quote with the wedding's table kept."""
    enquiry = enquiry_make(at=at, **facts)
    quote = enquiry.quotes.get()
    return draft_keep(quote_id=quote.pk, table=table or table_make(), by=BY, at=at)


def sent_make(*, at: datetime = NOW, table: Table | None = None, **facts: Any) -> Quote:
    """Return a quote that was sent."""
    return quote_send(quote_id=draft_make(at=at, table=table, **facts).pk, by=BY, at=at)


def approved_make(*, at: datetime = NOW, **facts: Any) -> Quote:
    """Return a quote the customer approved an hour after it was sent."""
    quote = sent_make(at=at, **facts)
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        witness=Witness(),
        at=at + timedelta(hours=1),
    )
    quote.refresh_from_db()
    return quote
