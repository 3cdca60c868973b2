"""The pages of a large kitchen, and the work behind its buttons: CPU time each."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import Any

from tests.bench.services.clocks import cpu, median_ms

#: Page -> its route and the query of its address.
PAGES = {
    "register": ("money-register", ""),
    "register, last month": ("money-register", "first={first}&last={last}"),
    "register, not paid": ("money-register", "standing=open"),
    "register, overdue": ("money-register", "standing=overdue"),
    "register, paid": ("money-register", "standing=paid"),
    "register, credit notes": ("money-register", "kind=381"),
    "register, a number": ("money-register", "find=I-100100"),
    "register, last page": ("money-register", "page=999999"),
    "money due": ("money-due", ""),
    "orders": ("orders", ""),
    "day": ("day", ""),
    "payments": ("money-payments", ""),
    "exports": ("money-exports", ""),
}


def owner() -> Any:
    """Return a signed-in owner's client."""
    from django.contrib.auth.models import Group, User
    from django.test import Client

    user = User.objects.get_or_create(username="bench")[0]
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    client = Client()
    client.force_login(user)
    return client


def pages_taken(client: Any) -> dict[str, float]:
    """Return the CPU time of each page [ms]; the customer's page is that of one who ordered twenty times."""
    from django.urls import reverse
    from django.utils import timezone

    from orders.inquiries.models import Customer

    before = timezone.localdate().replace(day=1) - timedelta(days=1)
    period = {"first": before.replace(day=1).isoformat(), "last": before.isoformat()}
    addresses = {name: f"{reverse(route)}?{query.format(**period)}" for name, (route, query) in PAGES.items()}
    taken = {name: median_ms(partial(_seen, client, address)) for name, address in addresses.items()}
    customer = Customer.objects.filter(orders__status="closed").order_by("-pk").first()
    assert customer is not None
    taken["customer"] = median_ms(lambda: _seen(client, reverse("customer", args=[customer.pk])))
    return taken


def _seen(client: Any, address: str) -> None:
    assert client.get(address).status_code == 200, address


def buttons_taken() -> dict[str, float]:
    """Return the CPU time of issuing an invoice and of recording a payment [ms], each on orders of its own."""
    from statistics import median

    from django.utils import timezone

    from orders.invoices.payments import payment_record
    from orders.invoices.services import invoice_draft, invoice_issue
    from orders.orders.models import Order

    now = timezone.now()
    taken: dict[str, list[float]] = {"issuing an invoice": [], "recording a payment": []}
    orders = Order.objects.filter(status="confirmed", invoices__isnull=True).order_by("pk")[:9]
    for order in orders:
        draft = invoice_draft(order_id=order.pk, by="bench", at=now)
        begun = cpu()
        invoice = invoice_issue(invoice_id=draft.pk, by="bench", at=now)
        taken["issuing an invoice"].append(cpu() - begun)
        begun = cpu()
        payment_record(
            order_id=order.pk,
            kind="payment",
            method="30",
            amount_minor=invoice.due_minor,
            received_on=now.date(),
            idempotency_key=f"bench-{order.pk}-{now:%H%M%S%f}",
            by="bench",
            at=now,
        )
        taken["recording a payment"].append(cpu() - begun)
    return {name: median(times) * 1000 for name, times in taken.items()}
