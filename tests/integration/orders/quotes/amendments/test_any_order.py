"""Orders are sent, approved, changed, invoiced, paid, credited, refunded and canceled in any order: it adds up."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from catalog.kitchen.models import Kitchen
from orders.approvals.services import ApprovalEvidence, quote_decline
from orders.documents.content import content_read, sha256_of
from orders.invoices.change_services import change_credit_issue, change_invoice_draft
from orders.invoices.changes import change_to_bill
from orders.invoices.models import IS_INVOICE, Invoice
from orders.invoices.order_money import order_money
from orders.invoices.parts import all_parts, open_parts
from orders.invoices.selectors import standing_invoices, with_open
from orders.invoices.services import invoice_issue
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.amendments.selectors import OPEN
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.records.errors import OrderError
from orders.records.states import ORDERS_AHEAD, QuoteStatus
from tests.factories import BY, kitchen_make
from tests.integration.orders.amending import agree, amend_send
from tests.integration.orders.builders import YES, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db


class Orders(RuleBasedStateMachine):
    """One order, and whatever can happen to it; what is refused changes nothing."""

    def __init__(self) -> None:
        super().__init__()
        if not Kitchen.objects.exists():
            kitchen_make(payments_after=[{"days": 14, "share": "0.5"}], balance_days=45)
        self.order = order_make()
        self.at: datetime = YES + timedelta(days=1)
        self.documents: dict[int, tuple[Any, ...]] = {}
        self.contents: dict[int, str] = {}
        self.paid, self.keys = 0, 0

    def _try(self, work: Callable[[], object]) -> bool:
        self.at += timedelta(hours=1)
        try:
            work()
        except OrderError:
            return False
        finally:
            self.order = Order.objects.select_related("quote").get(pk=self.order.pk)
        return True

    def _key(self) -> str:
        self.keys += 1
        return f"{self.order.pk}-{self.keys}"

    @property
    def out(self) -> Quote | None:
        return Quote.objects.filter(amends=self.order, status=QuoteStatus.SENT).first()

    @property
    def ahead(self) -> bool:
        return self.order.status in ORDERS_AHEAD

    @precondition(lambda self: self.ahead and self.out is None)
    @rule(more=st.sampled_from([-12, -6, 6, 12, 18]))
    def send(self, more: int) -> None:
        line = self.order.lines.select_related("product").order_by("position")[0]
        self._try(lambda: amend_send(self.order, {line.product.code: max(6, line.units + more)}, at=self.at))

    @precondition(lambda self: self.out is not None)
    @rule(answer=st.sampled_from(["approve", "approve", "decline", "withdraw"]))
    def answer(self, answer: str) -> None:
        out = self.out
        assert out is not None
        does: dict[str, Callable[[], object]] = {
            "approve": lambda: agree(out, at=self.at),
            "decline": lambda: quote_decline(quote_id=out.pk, reason="", evidence=ApprovalEvidence(), at=self.at),
            "withdraw": lambda: quote_withdraw(quote_id=out.pk, by=BY, at=self.at),
        }
        self._try(does[answer])

    @rule()
    def invoice(self) -> None:
        self._try(lambda: invoice_make(self.order, at=self.at))

    @rule()
    def settle(self) -> None:
        found = change_to_bill(self.order)
        if found is None:
            return
        if found.credits:
            facts = {"idempotency_key": self._key(), "seen_minor": found.credit_minor, "by": BY}
            assert self._try(lambda: change_credit_issue(order_id=self.order.pk, **facts, at=self.at))  # type: ignore[arg-type]
        if found.further:
            assert self._try(self._further)

    def _further(self) -> None:
        draft = change_invoice_draft(order_id=self.order.pk, by=BY, at=self.at)
        invoice_issue(invoice_id=draft.pk, by=BY, at=self.at)

    @rule(amount=st.sampled_from([1000, 5000, 40000]))
    def pay(self, amount: int) -> None:
        if self._try(lambda: pay(self.order, amount, at=self.at, idempotency_key=self._key())):
            self.paid += amount

    @rule()
    def refund(self) -> None:
        back = order_money(self.order).credit
        if back and self._try(lambda: pay(self.order, back, "refund", at=self.at, idempotency_key=self._key())):
            self.paid -= back

    @precondition(lambda self: self.keys > 4)
    @rule()
    def cancel(self) -> None:
        self._try(lambda: order_cancel(order_id=self.order.pk, reason="Off", money="refund", by=BY, at=self.at))

    @invariant()
    def what_is_in_force_is_what_was_approved(self) -> None:
        content = content_read(self.order.quote.content)
        lines = self.order.lines.order_by("position")
        assert self.order.quote.status == QuoteStatus.APPROVED
        assert self.order.total_minor == content.total_minor
        assert [(one.name, one.units) for one in lines] == [(one.name, one.units) for one in content.lines]
        every = Quote.objects.filter(number=self.order.quote.number)
        assert every.filter(status=QuoteStatus.APPROVED).count() == 1
        assert (self.order.event_in_force is not None) == every.filter(status__in=OPEN, amends=self.order).exists()

    @invariant()
    def no_document_is_edited(self) -> None:
        for quote in Quote.objects.filter(number=self.order.quote.number).exclude(sent_at=None):
            assert sha256_of(quote.content) == quote.content_sha256
            assert self.contents.setdefault(quote.pk, quote.content) == quote.content
        for one in Invoice.objects.filter(order=self.order).exclude(number=None):
            says = one.number, one.content_sha256, one.total_minor, one.due_minor
            assert self.documents.setdefault(one.pk, says) == says

    @invariant()
    def each_invoice_is_the_sum_of_its_payments_and_the_next_is_the_first_open(self) -> None:
        for one in with_open(Invoice.objects.filter(IS_INVOICE, order=self.order).exclude(number=None)):
            parts, left = all_parts(one), open_parts(one)
            assert sum(part.open for part in left) == max(0, one.open)
            assert sum(part.amount for part in parts) in (0, one.due_minor)
            assert not left or one.pay_on == left[0].due_on

    @invariant()
    def every_commit_adds_up(self) -> None:
        money = order_money(self.order)
        assert money.received == self.paid
        assert money.balance == money.invoiced - money.credited - self.paid
        standing = standing_invoices(self.order)
        if self.order.status in ORDERS_AHEAD and standing and change_to_bill(self.order) is None:
            assert money.invoiced - money.settled == self.order.total_minor


def test_whatever_happens_to_an_order_adds_up() -> None:
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        Orders,
        settings=settings(
            max_examples=8, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
