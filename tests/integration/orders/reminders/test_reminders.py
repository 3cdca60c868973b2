"""Reminders: off until the owner chose, each once, only what is due from then on, and only what is still needed."""

from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail

from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product
from catalog.upkeep.services import restore_recorded
from orders.approvals.services import ApprovalEvidence, quote_ask_change, quote_decline, quote_reply
from orders.inquiries.models import Customer
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.records.models import AuditEntry
from orders.reminders.dues import due_of
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder
from orders.reminders.selectors import planned, reminders_held
from orders.reminders.services import (
    reminder_drop,
    reminder_send,
    reminder_skip,
    reminders_resume,
    reminders_round,
    reminders_save,
    reminders_stop,
    things_save,
)
from tests.factories import BY, NOW, ZONE, kitchen_make, sent_make
from tests.integration.orders.builders import YES, credit, invoice_make, order_make, pay
from tests.sending import own_read

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
USUAL = {code: (True, kind.days) for code, kind in KINDS.items()}


@pytest.fixture(autouse=True)
def kitchen() -> Kitchen:
    return kitchen_make(payment_details="By transfer to Marrow Lane Bank, account 00012345.")


def switch_on(at: datetime = NOW, **rules: tuple[bool, int]) -> None:
    reminders_save(on=True, hour=9, rules={**USUAL, **rules}, by=BY, at=at)


def nine(day: Any) -> datetime:
    return datetime(day.year, day.month, day.day, 9, tzinfo=ZONE)


def due_rows() -> list[Outbox]:
    return list(Outbox.objects.filter(kind="reminder").order_by("pk"))


def send_all(at: datetime) -> list[Any]:
    """Do the work of the reminders that were asked for and return the mails that left."""
    before = len(mail.outbox)
    for row in Outbox.objects.filter(kind="reminder", status="waiting"):
        assert outbox_run(row_id=row.pk, at=at), Outbox.objects.get(pk=row.pk).error
    return mail.outbox[before:]


def moment_of(kind: str) -> datetime:
    """Return when the one reminder of a kind goes out."""
    (moment,) = [one.moment for one in planned(at=NOW) if one.due.kind.code == kind]
    return moment


def test_nothing_goes_out_until_the_owner_chose_and_the_page_knows_what_would() -> None:
    quote = sent_make()
    (one,) = [one for one in planned(at=NOW + HOUR) if one.due.kind.code == "validity"]
    assert one.due.quote == quote
    assert reminders_round(at=one.moment + HOUR) == 0
    assert not Reminder.objects.exists()


def test_a_quote_is_reminded_of_once_before_its_last_day() -> None:
    switch_on()
    quote = sent_make()
    until = quote.valid_until
    assert until is not None
    moment = moment_of("validity")
    assert moment == nine(until.astimezone(ZONE).date() - 3 * DAY)
    assert reminders_round(at=moment - timedelta(minutes=1)) == 0
    assert reminders_round(at=moment) == 1
    assert reminders_round(at=moment + HOUR) == 0
    (message,) = send_all(moment)
    assert message.to == ["ida@fenwick.example"]
    assert quote.number in message.subject
    assert "Dear Ida Fenwick," in message.body
    assert "/q/" in message.body
    assert "{" not in message.subject + message.body
    reminder = Reminder.objects.get()
    assert reminder.outcome == "sent"
    assert AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event="reminder_sent").count() == 1
    assert reminders_round(at=moment + DAY) == 0


def test_what_was_due_before_it_was_switched_on_never_goes_out() -> None:
    quote = sent_make()
    until = quote.valid_until
    assert until is not None
    switch_on(at=until - DAY)
    assert reminders_round(at=until - HOUR) == 0
    assert not Reminder.objects.exists()


def test_more_days_bring_no_burst_for_what_would_have_been_due_before() -> None:
    switch_on(validity=(True, 1))
    quote = sent_make()
    until = quote.valid_until
    assert until is not None
    switch_on(at=until - 2 * DAY, validity=(True, 5))
    assert reminders_round(at=until - 2 * DAY + HOUR) == 0


def test_a_customer_who_just_got_the_quote_is_not_reminded() -> None:
    switch_on(validity=(True, 60))
    sent_make()
    assert [one for one in planned(at=NOW + HOUR) if one.due.kind.code == "validity"] == []


@pytest.mark.parametrize(
    "deed",
    [
        lambda quote, at: quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=at),
        lambda quote, at: quote_withdraw(quote_id=quote.pk, reason="", by=BY, at=at),
        lambda quote, at: quote_ask_change(quote_id=quote.pk, text="Later?", evidence=ApprovalEvidence(), at=at),
        lambda quote, at: reminders_stop(number=quote.number, by=BY, at=at),
        lambda quote, at: reminders_save(on=False, hour=9, rules=USUAL, by=BY, at=at),
        lambda quote, at: switch_on(at=at, validity=(False, 3)),
    ],
    ids=["declined", "withdrawn", "wrote", "stopped", "off", "kind off"],
)
def test_a_reminder_that_was_asked_for_does_not_leave_once_it_has_no_business(
    deed: Callable[[Quote, datetime], object],
) -> None:
    switch_on()
    quote, moment = sent_make(), moment_of("validity")
    assert reminders_round(at=moment) == 1
    deed(quote, moment)
    assert send_all(moment + HOUR) == []
    reminder = Reminder.objects.get()
    assert reminder.outcome == "not_needed"
    assert reminder.why
    assert AuditEntry.objects.filter(document="quote", event="reminder_not_needed").count() == 1
    assert reminders_round(at=moment + HOUR) == 0


def test_after_the_kitchen_replied_the_quote_is_reminded_of_again() -> None:
    switch_on()
    quote, moment = sent_make(allergies=()), moment_of("validity")
    quote_ask_change(quote_id=quote.pk, text="Later?", evidence=ApprovalEvidence(), at=NOW + HOUR)
    assert reminders_round(at=moment) == 0
    read = own_read(quote, "Gladly.")
    quote_reply(quote_id=quote.pk, text="Gladly.", nothing_named=True, read=read, by=BY, at=moment + HOUR)
    assert reminders_round(at=moment + 2 * HOUR) == 1


def test_a_deposit_is_reminded_of_before_and_after_its_last_day_with_what_is_open() -> None:
    switch_on()
    order = order_make()
    assert order.deposit_due_on is not None
    before, after = nine(order.deposit_due_on - 2 * DAY), nine(order.deposit_due_on + 3 * DAY)
    pay(order, 1_000, "deposit", at=YES + HOUR)
    assert reminders_round(at=before) == 1
    (message,) = send_all(before)
    left = (order.deposit_minor - 1_000) / 100
    assert f"${left:,.2f}" in message.body
    assert "Marrow Lane Bank" in message.body
    assert order.number in message.body
    assert reminders_round(at=after) == 1
    (message,) = send_all(after)
    assert "was due" in message.subject
    assert {row.kind for row in Reminder.objects.all()} == {"deposit_due", "deposit_late"}
    assert {row.about for row in due_rows()} == {f"order:{order.pk}"}


@pytest.mark.parametrize(
    "deed",
    [
        lambda order, at: pay(order, order.deposit_minor, "deposit", at=at),
        lambda order, at: order_cancel(order_id=order.pk, reason="Off.", by=BY, at=at),
        lambda order, at: invoice_make(order, at=at),
    ],
    ids=["paid", "canceled", "invoiced"],
)
def test_a_queued_deposit_reminder_is_not_sent_once_it_is_over(deed: Callable[[Order, datetime], object]) -> None:
    switch_on(final_count=(False, 3), payment_due=(False, 2), payment_late=(False, 5))
    order = order_make()
    moment = nine(order.deposit_due_on - 2 * DAY)  # type: ignore[operator]
    assert reminders_round(at=moment) == 1
    deed(order, moment)
    assert send_all(moment + HOUR) == []
    assert Reminder.objects.get().why == "over"


def test_a_reminder_of_a_day_that_has_passed_by_then_is_not_sent() -> None:
    switch_on(deposit_late=(False, 3), final_count=(False, 3))
    order = order_make()
    moment = nine(order.deposit_due_on - 2 * DAY)  # type: ignore[operator]
    assert reminders_round(at=moment) == 1
    assert send_all(moment + 3 * DAY) == []


def test_the_final_count_is_asked_for_and_an_invoice_before_and_after_it_is_due() -> None:
    switch_on()
    order = order_make()
    assert order.final_count_on is not None
    moment = nine(order.final_count_on - 3 * DAY)
    kinds = [one.due.kind.code for one in planned(at=moment - HOUR) if one.moment == moment]
    assert kinds == ["final_count"]
    invoice = invoice_make(order)
    assert invoice.due_on is not None
    (late,) = [one for one in planned(at=moment) if one.due.kind.code == "payment_late"]
    assert late.moment == nine(invoice.due_on + 5 * DAY)
    assert late.due.amount_minor == invoice.due_minor
    pay(order, 500, at=moment)
    (late,) = [one for one in planned(at=moment) if one.due.kind.code == "payment_late"]
    assert late.due.amount_minor == invoice.due_minor - 500
    credit(Invoice.objects.get(pk=invoice.pk))
    assert not [one for one in planned(at=moment) if one.due.kind.document == "invoice"]


def test_things_to_return_are_molds_that_leave_and_what_the_owner_noted_until_they_are_back() -> None:
    switch_on()
    order = order_make()
    mold = Mold.objects.create(name="Ring, 10 in", diameter_cm=Decimal(25), height_cm=Decimal(6))
    product = Product.objects.filter(order_lines__order=order)[0]
    Product.objects.filter(pk=product.pk).update(mold=mold, mold_leaves=True, mold_back_days=3)
    Order.objects.filter(pk=order.pk).update(status="delivered", delivered_at=order.window_start)
    things_save(order_id=order.pk, things="2 cake stands", back=False, by=BY, at=YES)
    back = (order.window_end.astimezone(ZONE) + 3 * DAY).date()
    due = due_of("things_out", order.pk, at=order.window_end + 10 * DAY, day=back)
    assert due is not None
    assert due.things == ("Ring, 10 in", "2 cake stands")
    assert due.day == back
    assert reminders_round(at=nine(due.day + 2 * DAY)) == 1
    (message,) = send_all(nine(due.day + 2 * DAY))
    assert "2 cake stands" in message.body
    things_save(order_id=order.pk, things="2 cake stands", back=True, by=BY, at=YES)
    assert due_of("things_out", order.pk, at=order.window_end + 10 * DAY, day=back) is None


def test_one_reminder_can_be_left_out_and_all_about_a_quote_stopped_and_resumed() -> None:
    switch_on()
    quote, moment = sent_make(), moment_of("validity")
    reminders_stop(number=quote.number, by=BY, at=NOW)
    assert reminders_round(at=moment + HOUR) == 0
    reminders_resume(number=quote.number, at=moment + HOUR)
    assert reminders_round(at=moment + HOUR) == 0, "what was due meanwhile is not sent"
    assert not Reminder.objects.exists()
    reminders_save(on=False, hour=9, rules=USUAL, by=BY, at=NOW)
    other = sent_make(at=moment + HOUR)
    switch_on(at=moment + HOUR)
    assert reminder_skip(kind="validity", pk=other.pk, by=BY, at=moment + 2 * HOUR)
    assert not reminder_skip(kind="validity", pk=other.pk, by=BY, at=moment + 2 * HOUR)
    assert Reminder.objects.get().outcome == "skipped"
    assert not [one for one in planned(at=moment + 2 * HOUR) if one.due.pk == other.pk]


def test_a_customer_without_an_address_gets_none_and_is_shown() -> None:
    switch_on()
    quote, moment = sent_make(), moment_of("validity")
    Customer.objects.filter(pk=quote.inquiry.customer_id).update(email="")
    assert reminders_round(at=moment) == 0
    (one,) = [one for one in planned(at=NOW) if one.due.kind.code == "validity"]
    assert not one.addressed


def test_what_was_missed_for_days_waits_for_the_owner() -> None:
    switch_on(payment_due=(False, 2))
    order = order_make()
    invoice = invoice_make(order)
    moment = nine(invoice.due_on + 5 * DAY)  # type: ignore[operator]
    assert reminders_round(at=moment + 4 * DAY) == 0
    (held,) = reminders_held()
    assert (held.kind, held.outcome) == ("payment_late", "missed")
    assert reminder_send(reminder_id=held.pk, by=BY, at=moment + 4 * DAY)
    assert len(send_all(moment + 4 * DAY)) == 1


def test_after_a_restore_what_may_have_gone_out_since_the_backup_waits_for_the_owner() -> None:
    switch_on()
    quote, moment = sent_make(), moment_of("validity")
    restore_recorded(made_at=moment - DAY, at=moment + HOUR)
    assert reminders_round(at=moment + 2 * HOUR) == 0
    (held,) = reminders_held()
    assert held.outcome == "unsure"
    assert due_rows() == []
    reminder_drop(reminder_id=held.pk, by=BY, at=moment + 2 * HOUR)
    assert reminders_held() == []
    assert reminders_round(at=moment + 3 * HOUR) == 0
    assert quote.number == Reminder.objects.get().number


def test_a_reminder_queued_in_the_backup_waits_too() -> None:
    switch_on()
    sent_make()
    moment = moment_of("validity")
    assert reminders_round(at=moment) == 1
    restore_recorded(made_at=moment + timedelta(minutes=1), at=moment + HOUR)
    assert send_all(moment + 2 * HOUR) == []
    (held,) = reminders_held()
    assert reminder_send(reminder_id=held.pk, by=BY, at=moment + 2 * HOUR)
    assert len(send_all(moment + 3 * HOUR)) == 1, "what the owner decides is sent"


def test_what_is_due_after_the_restore_goes_out_as_ever() -> None:
    switch_on()
    sent_make()
    moment = moment_of("validity")
    restore_recorded(made_at=moment - 3 * DAY, at=moment - DAY)
    assert reminders_round(at=moment) == 1
    assert len(send_all(moment)) == 1
