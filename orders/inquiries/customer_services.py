"""Customers: change one, and find or add one for a new inquiry."""

from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction

from catalog.records.versions import existing_unchanged, stored, version_mark
from orders.inquiries.models import Customer
from orders.records.transitions import audit


@dataclass(frozen=True, slots=True)
class CustomerData:
    """The data of a customer."""

    name: str
    email: str = ""
    phone: str = ""
    address: str = ""
    country: str = ""
    kind: str = Customer.Kind.PRIVATE
    tax_exempt: bool = False
    tax_number: str = ""
    note: str = ""


def customer_version(customer: Customer) -> str:
    """Return the version of a customer's data as stored."""
    return version_mark(stored(customer, CustomerData.__dataclass_fields__))


@transaction.atomic(durable=True)
def customer_change(*, customer_id: int, data: CustomerData, by: str, at: datetime, version: str = "") -> Customer:
    """Change a customer's data. Sent quotes and invoices keep the old data.

    Raises
    ------
    Overtaken
        If their version is no longer ``version``.
    ChangedMeanwhile
        If the customer was deleted.
    """
    customer = existing_unchanged(Customer, customer_id, version, customer_version)
    for name, value in asdict(data).items():
        setattr(customer, name, value)
    customer.save()
    audit(customer, "change", by=by, at=at)
    return customer


def customer_found_or_added(*, customer_id: int | None, data: CustomerData, at: datetime) -> Customer:
    """Return the customer chosen, else the one with this e-mail address, else a new one.

    It has no transaction of its own. A known customer's data stays; only empty columns are filled.

    Raises Customer.DoesNotExist when the chosen one was deleted.
    """
    known = Customer.objects.get(pk=customer_id) if customer_id else _with_email(data.email)
    if known is None:
        return Customer.objects.create(created_at=at, **asdict(data))
    gaps = [name for name in ("email", "phone") if getattr(data, name) and not getattr(known, name)]
    for name in gaps:
        setattr(known, name, getattr(data, name))
    if gaps:
        known.save(update_fields=gaps)
    return known


def _with_email(email: str) -> Customer | None:
    return Customer.objects.filter(email__iexact=email).order_by("pk").first() if email else None
