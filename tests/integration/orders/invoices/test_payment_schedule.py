"""A payment schedule from the terms to the order: frozen, dated, filled by payments, late, and kept by a change."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from orders.documents.content import canonical, content_read, sha256_of
from orders.invoices.models import ScheduledPayment
from orders.invoices.order_money import order_money
from orders.invoices.schedule import schedule_of, scheduled_late, scheduled_waiting
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.models import Quote
from orders.records.errors import TermsDisagree
from orders.reminders.dues import due_of
from orders.reminders.selectors import planned
from tests.factories import BY, EVENT, NOW, approved_make, draft_make, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of, save_edit
from tests.integration.orders.amending import BEGUN, agree, amend_send
from tests.integration.orders.builders import LATER, invoice_make, order_make, pay
from tests.integration.orders.private_link import entered
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db

#: Paid in full two weeks before the event of February 6: January 23.
IN_FULL = [{"days": 14}]
FULL_ON = date(2027, 1, 23)


def shown(order: Order, today: date) -> list[tuple[str, int, int, int]]:
    """Return how each payment stands: kind, amount, what is open, days late."""
    received = order_money(order).received
    rows = schedule_of(order, received=received, today=today)
    return [(one.kind, one.amount, one.open, one.late_days) for one in rows]


def test_a_schedule_is_frozen_with_the_quote_and_dated_with_the_order() -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    content = content_read(order.quote.content)
    (payment,) = content.payments_before
    assert (payment.due_on, payment.amount_minor) == (FULL_ON, content.total_minor - content.deposit_minor)
    assert content.balance_minor == 0
    assert "is due before the event by its terms" in content.statement
    assert order.quote.content_sha256 == sha256_of(canonical(content))
    assert list(order.scheduled.values_list("kind", "amount_minor", "upto_minor", "due_on")) == [
        ("deposit", order.deposit_minor, order.deposit_minor, order.deposit_due_on),
        ("payment", payment.amount_minor, order.total_minor, FULL_ON),
    ]
    Kitchen.objects.update(payments_before=[])
    assert Quote.objects.get(pk=order.quote_id).content == order.quote.content


def test_a_quote_with_a_deposit_alone_says_nothing_of_other_payments() -> None:
    kitchen_make()
    order = order_make()
    assert "payments_before" not in order.quote.content
    assert [one.kind for one in order.scheduled.all()] == ["deposit"]


def test_a_deposit_can_be_an_amount_and_is_at_most_the_total() -> None:
    kitchen_make(deposit_minor=50_000)
    quote = sent_make()
    assert quote.deposit_minor == 50_000
    Kitchen.objects.update(deposit_minor=99_999_999)
    with refused(TermsDisagree, match="more than the total of"):
        quote_send_seen(quote_id=draft_make().pk, by=BY, at=NOW)


def test_whoever_approves_after_a_payments_day_has_until_the_end_of_that_day() -> None:
    # Sent January 6 for January 22: valid until the 12th, and what is due 14 days before it is due on the 8th.
    kitchen_make(payments_before=IN_FULL)
    near = datetime(2027, 1, 22, 15, 30, tzinfo=EVENT.tzinfo)
    quote = sent_make(window_start=near)
    assert content_read(quote.content).payments_before[0].due_on == date(2027, 1, 8)
    order = order_make(at=NOW + timedelta(days=5), window_start=near + timedelta(days=1))
    # All on one day is one payment.
    assert list(order.scheduled.values_list("kind", "amount_minor", "due_on")) == [
        ("payment", order.total_minor, date(2027, 1, 11)),
    ]


def test_payments_fill_the_rows_in_their_order_and_what_is_late_says_by_how_long() -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    deposit, rest = order.deposit_minor, order.total_minor - order.deposit_minor
    due = order.deposit_due_on
    assert due is not None
    assert shown(order, due) == [("deposit", deposit, deposit, 0), ("payment", rest, rest, 0)]
    pay(order, deposit + 1_000)
    assert shown(order, FULL_ON + timedelta(days=3)) == [("deposit", deposit, 0, 0), ("payment", rest, rest - 1_000, 3)]
    assert [(one.order_id, one.missing) for one in scheduled_late(today=FULL_ON + timedelta(days=1))] == [
        (order.pk, rest - 1_000)
    ]
    assert not scheduled_late(today=FULL_ON)
    assert [one.missing for one in scheduled_waiting(today=FULL_ON)] == [rest - 1_000]
    pay(order, rest - 1_000)
    assert not scheduled_waiting(today=FULL_ON)
    assert shown(order, FULL_ON + timedelta(days=9))[1] == ("payment", rest, 0, 0)


def test_the_order_page_says_what_is_due_late_and_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    monkeypatch.setattr("django.utils.timezone.now", lambda: datetime(2027, 1, 26, 9, tzinfo=EVENT.tzinfo))
    owner, page = signed_in("owner"), reverse("order", args=[order.pk])
    pay(order, order.deposit_minor, "deposit")
    words = text(owner.get(page))
    assert "Payment overdue:" in words
    assert "overdue since Saturday, January 23, 2027, 3 days late." in words
    assert "paid." in words
    pay(order, order.total_minor - order.deposit_minor + 1_250)
    words = text(owner.get(page))
    assert "$12.50 more than the total was paid." in words
    assert "days late" not in words
    day = text(owner.get(reverse("day")))
    assert "Overdue before the event" not in day


def test_the_day_and_the_money_due_name_what_is_late(monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    monkeypatch.setattr("django.utils.timezone.now", lambda: datetime(2027, 1, 24, 9, tzinfo=EVENT.tzinfo))
    owner = signed_in("owner")
    for name in ("day", "money-due"):
        words = text(owner.get(reverse(name)))
        assert "Overdue before the event" in words, name
        assert "Payment, Ida Fenwick" in words, name
        assert "1 day late" in words, name


def test_the_customers_page_and_quote_say_it_in_plain_words(client: Client) -> None:
    kitchen_make(payments_before=IN_FULL)
    quote = sent_make()
    words = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert "due by Saturday, January 23, 2027" in words
    assert "With these payments all of it is paid before the event." in words
    approved = approved_make()
    order = Order.objects.get(quote=approved)
    words = text(entered(client, approved).get(f"/q/{approved.pk}/"))
    assert "The payment of" in words
    assert "is due by Saturday, January 23, 2027" in words
    assert "With the payments before it nothing is left to pay on it." in words
    pay(order, order.total_minor)
    words = text(entered(client, approved).get(f"/q/{approved.pk}/"))
    assert "is due by" not in words.partition("What you approved")[0]


def test_reminders_go_out_for_each_payment_and_not_for_what_is_paid() -> None:
    kitchen_make(payments_before=[{"days": 20, "share": "0.4"}, {"days": 10}])
    order = order_make()
    at = NOW + timedelta(days=3)

    def kinds() -> list[tuple[str, date, int]]:
        found = (one.due for one in planned(at=at) if one.due.kind.code.startswith(("deposit", "scheduled")))
        return [(due.kind.code, due.day, due.amount_minor) for due in found]

    first, second, third = order.scheduled.all()
    assert kinds() == [
        ("deposit_due", first.due_on, first.amount_minor),
        ("scheduled_due", second.due_on, second.amount_minor),
        ("deposit_late", first.due_on, first.amount_minor),
        ("scheduled_late", second.due_on, second.amount_minor),
        ("scheduled_due", third.due_on, third.amount_minor),
        ("scheduled_late", third.due_on, third.amount_minor),
    ]
    found = due_of("scheduled_due", order.pk, at=at, day=third.due_on)
    assert found is not None
    assert (found.day, found.amount_minor) == (third.due_on, third.amount_minor)
    pay(order, first.amount_minor + second.amount_minor)
    assert [(code, day) for code, day, _ in kinds()] == [
        ("scheduled_due", third.due_on),
        ("scheduled_late", third.due_on),
    ]
    invoice_make(order)
    assert kinds() == [], "an invoice asks for the whole"


def test_a_canceled_order_owes_no_payment_of_its_schedule() -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    order_cancel(order_id=order.pk, reason="Off.", by=BY, at=LATER)
    assert not scheduled_late(today=FULL_ON + timedelta(days=9))


def test_a_change_keeps_what_was_agreed_and_the_last_open_payment_takes_the_difference() -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    before, was = list(order.scheduled.values_list("amount_minor", flat=True)), order.total_minor
    change = amend_send(order, {"quince-square": 240})
    content = content_read(change.content)
    more = content.total_minor - was
    assert more > 0
    assert [content.deposit_minor, *(one.amount_minor for one in content.payments_before)] == [
        before[0],
        before[1] + more,
    ]
    agree(change)
    order.refresh_from_db()
    assert list(order.scheduled.values_list("amount_minor", "due_on")) == [
        (before[0], order.deposit_due_on),
        (before[1] + more, FULL_ON),
    ]
    assert shown(order, BEGUN.date())[0][2] == 0, "paid stays paid"


def test_the_owner_reads_what_a_change_does_to_the_payments() -> None:
    kitchen_make(payments_before=IN_FULL)
    change = amend_send(order_make(), {"quince-square": 240})
    words = text(signed_in("owner").get(reverse("quote", args=[change.pk])))
    assert "Payment 1 before the event" in words
    assert "by Saturday, January 23, 2027" in words


ROWS = {"payments-TOTAL_FORMS": "2", "payments-INITIAL_FORMS": "0", "deposit": "30", "deposit_amount": ""}
ROWS |= {"after-TOTAL_FORMS": "2", "after-INITIAL_FORMS": "0", "balance_days": "7"}


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        (
            {"payments-0-days": "14", "payments-0-share": "80"},
            "Enter at most 70% here, or leave it empty for all that is left.",
        ),
        ({"payments-0-days": "14", "payments-0-amount": "9000000"}, "The payments add up to more than the total of"),
        (
            {"payments-0-days": "14", "payments-0-share": "20", "payments-0-amount": "100"},
            "Enter a percentage or an amount, not both.",
        ),
        ({"payments-0-share": "20"}, "Enter how many days before the event this payment is due."),
        (
            {"payments-0-days": "14", "payments-1-days": "7", "payments-1-share": "20"},
            "The payment 14 days before the event takes all that is left.",
        ),
        ({"payments-0-days": "14", "payments-1-days": "14"}, "This number of days is entered twice."),
        ({"payments-0-days": "14", "payments-0-share": "0"}, "Enter more than 0"),
        ({"after-0-days": "7", "after-0-share": "50"}, "The balance is due 7 days after the invoice. Enter fewer days"),
        ({"after-0-days": "3", "after-0-share": "100"}, "Enter less than 100% here."),
        ({"after-0-days": "3", "after-0-share": "60", "after-1-days": "5", "after-1-share": "40"}, "less than 40%"),
        ({"after-0-days": "3", "after-0-amount": "9000000"}, "These payments are all of the balance of $"),
        ({"after-0-days": "3"}, "Enter a percentage or an amount: what is left is the last payment."),
        ({"after-0-share": "50"}, "Enter how many days after the invoice this payment is due."),
        ({"after-0-days": "3", "after-0-share": "9", "after-1-days": "3", "after-1-share": "9"}, "entered twice"),
        ({"after-0-days": "3", "after-0-share": "50", "payments-0-days": "14"}, "nothing is left after the invoice."),
        ({"after-0-days": "0", "after-0-share": "50", "balance_days": "0"}, "The balance is due with the invoice."),
    ],
)
def test_a_schedule_that_does_not_add_up_is_refused_with_what_fits(entries: dict[str, str], words: str) -> None:
    kitchen_make()
    draft, owner = draft_make(), signed_in("owner")
    page = save_edit(owner, reverse("quote-terms", args=[draft.pk]), {**ROWS, **entries, "note": "With love"})
    assert words in text(page)
    assert "With love" in page.content.decode()
    draft.refresh_from_db()
    assert (draft.payments_before, draft.payments_after) == ([], [])


@pytest.mark.parametrize(
    ("code", "stored", "share"),
    [
        ("after_invoice", [], "0.3"),
        ("before_event", [{"days": 14}], "0.3"),
        ("thirds", [{"days": 60, "share": "0.3333333"}, {"days": 14}], "0.3333333"),
    ],
)
def test_a_ready_schedule_is_filled_in_and_other_entries_stay(
    code: str, stored: list[dict[str, Any]], share: str
) -> None:
    kitchen_make(payments_before=[{"days": 3, "share": "0.1"}])
    draft, owner = draft_make(), signed_in("owner")
    address = reverse("quote-terms", args=[draft.pk])
    filled = edit_form_of(owner.get(address)).data(pick=code, note="With love")
    page = owner.post(address, filled)
    assert page.status_code == 200
    assert "Filled in." in text(page)
    assert "With love" in page.content.decode()
    draft.refresh_from_db()
    assert draft.payments_before == [{"days": 3, "share": "0.1"}], "nothing is saved yet"
    assert owner.post(address, edit_form_of(page).data()).status_code == 302
    draft.refresh_from_db()
    assert draft.payments_before == stored
    assert str(draft.deposit_share).rstrip("0") == share


def test_the_kitchens_schedule_is_saved_and_new_drafts_begin_with_it() -> None:
    kitchen_make()
    owner, address = signed_in("owner"), reverse("kitchen-payments")
    page = save_edit(owner, address, {"pick": "thirds"})
    assert "Filled in." in text(page)
    assert Kitchen.objects.get().payments_before == []
    entries = {**ROWS, "deposit_amount": "500", "payments-0-days": "14"}
    assert save_edit(owner, address, entries).status_code == 302
    home = Kitchen.objects.get()
    assert (home.deposit_minor, home.payments_before) == (50_000, [{"days": 14}])
    draft = draft_make()
    assert (draft.deposit_fixed_minor, draft.payments_before) == (50_000, [{"days": 14}])
    assert "Enter at most 70% here" in text(
        save_edit(owner, address, {**ROWS, "payments-0-days": "14", "payments-0-share": "80"})
    )


def test_rows_are_those_of_the_order_in_force_alone() -> None:
    kitchen_make(payments_before=IN_FULL)
    order = order_make()
    assert ScheduledPayment.objects.filter(order=order).count() == 2
