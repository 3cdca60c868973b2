"""Orders with a cancellation table are sent, approved, changed, invoiced, paid, credited and canceled in any order."""

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import invariant, precondition, rule, run_state_machine_as_test

from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from orders.invoices.models import IS_CHARGE, Invoice
from orders.invoices.order_money import order_money
from orders.invoices.receivables import refunds_due
from orders.invoices.selectors import standing_invoice
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.canceling import canceling
from orders.records.states import ORDERS_AHEAD, InvoiceStatus, OrderStatus
from tests.factories import BY, kitchen_make
from tests.integration.orders.builders import credit
from tests.integration.orders.quotes.amendments.test_any_order import Orders

pytestmark = pytest.mark.django_db
SHARES = [0, 1, 2, 4]


class CalledOff(Orders):
    """The same, canceled by the table of its terms; what was charged is credited at times."""

    def __init__(self) -> None:
        if not Kitchen.objects.exists():
            kitchen_make(cancellation_table=[{"days": 90, "share": "0.4"}])
            Kitchen.objects.update(cancellation_tax=TaxCategory.objects.earliest("pk"))
        super().__init__()

    @precondition(lambda self: self.order.status in ORDERS_AHEAD)
    @rule(by=st.sampled_from(["customer", "customer", "kitchen"]), part=st.sampled_from(SHARES))
    def cancel(self, by: str, part: int) -> None:
        found = canceling(self.order, at=self.at)
        assert found is not None
        amount = found.most_minor * part // 4
        decision = Decision(by, "Off", retained_minor=amount, retained_reason="Old customers.", seen=found.mark)
        assert self._try(lambda: order_cancel_by_terms(order_id=self.order.pk, decision=decision, by=BY, at=self.at))
        assert self.order.retained_minor == (amount if by == "customer" else 0) <= found.most_minor

    @precondition(lambda self: self.order.status == OrderStatus.CANCELED)
    @rule()
    def credit(self) -> None:
        standing = standing_invoice(self.order)
        if standing is not None:
            self._try(lambda: credit(standing, at=self.at))

    @invariant()
    def every_commit_adds_up(self) -> None:
        money, retained = order_money(self.order), self.order.retained_minor
        assert money.received == self.paid
        charges = Invoice.objects.filter(IS_CHARGE, order=self.order)
        issued = [one for one in charges if one.status != InvoiceStatus.DRAFT]
        if retained is None:
            assert not charges
            assert money.balance == money.invoiced - money.credited - self.paid
            return
        # It is charged once at most, with just what is retained.
        assert len(issued) <= 1
        assert all(one.total_minor == retained for one in charges)
        asked = money.invoiced - money.credited if issued else retained
        assert asked - money.balance == self.paid
        assert asked in (retained, 0)
        listed = {one.order.pk: one.amount for one in refunds_due()}
        if money.credit and (issued or standing_invoice(self.order) is None):
            assert int(listed[self.order.pk].amount * 100) == money.credit


def test_whatever_happens_to_an_order_that_is_called_off_adds_up() -> None:
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        CalledOff,
        settings=settings(
            max_examples=8, stateful_step_count=14, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
