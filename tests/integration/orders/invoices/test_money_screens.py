"""Money on screen: invoices drafted, issued, dropped and credited, payments recorded and taken back."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web.display import minor
from orders.inquiries.models import Inquiry
from orders.invoices.forms import PaymentForm
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import OrderMoney, order_money
from orders.invoices.schedule import Scheduled
from orders.orders.models import Order
from orders.records.money import from_minor
from tests.factories import PASSWORD, kitchen_make, user_make
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
NOW = LATER + timedelta(days=1)


@pytest.fixture(autouse=True)
def now(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def owner(client: Client) -> Client:
    user_make("owner", name="maren")
    assert client.login(username="maren", password=PASSWORD)
    return client


def text_of(answer: Any) -> str:
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def sent(**changes: str) -> dict[str, str]:
    """What the form of a payment sends."""
    facts = {"kind": "payment", "amount": "50.00", "received_on": f"{NOW:%Y-%m-%d}", "means": "30"}
    return {**facts, "idempotency_key": "k" * 32, **changes}


def test_an_invoice_is_drafted_issued_and_mailed_from_its_page(owner: Client) -> None:
    order = order_make()
    answer = owner.post(reverse("order-invoice", args=[order.pk]))
    draft = Invoice.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, reverse("invoice", args=[draft.pk]))
    page = text_of(owner.post(reverse("invoice-issue", args=[draft.pk]), {"mail": "on"}, follow=True))
    assert "Invoice I-00001 issued. It will be e-mailed to the customer." in page
    assert Outbox.objects.get(kind="invoice_pdf").payload == {"invoice": draft.pk, "mail": True}
    issued = Invoice.objects.get()
    assert (issued.status, issued.issued_by, issued.issued_at) == ("issued", "maren", NOW)


def test_an_invoice_is_issued_without_a_mail_when_none_is_wanted(owner: Client) -> None:
    owner.post(reverse("order-invoice", args=[order_make().pk]))
    page = text_of(owner.post(reverse("invoice-issue", args=[Invoice.objects.get().pk]), follow=True))
    assert "Invoice I-00001 issued." in page
    assert Outbox.objects.get(kind="invoice_pdf").payload["mail"] is False


def test_a_draft_is_dropped_from_its_page(owner: Client) -> None:
    order = order_make()
    owner.post(reverse("order-invoice", args=[order.pk]))
    answer = owner.post(reverse("invoice-discard", args=[Invoice.objects.get().pk]), follow=True)
    assert "Draft discarded. It had no number." in text_of(answer)
    assert answer.redirect_chain == [(reverse("order", args=[order.pk]), 302)]
    assert not Invoice.objects.exists()


def reviewed(owner: Client, address: str, form: dict[str, str]) -> Any:
    """Ask for a credit note, and issue what its review shows."""
    page = owner.post(address, form)
    assert "Not issued yet." in text_of(page)
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.content.decode()))
    return owner.post(address, {**hidden, "do": "issue"}, follow=True)


def test_all_of_an_invoice_is_credited(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    address = reverse("invoice-credit", args=[invoice.pk])
    assert "Credit" in text_of(owner.get(address))
    page = text_of(reviewed(owner, address, {"how": "all", "reason": "Rained off.", "mail": "on"}))
    assert "Credit note C-00001 issued." in page
    note = Invoice.objects.get(kind="381")
    assert (note.total_minor, note.reason) == (invoice.total_minor, "Rained off.")
    assert Outbox.objects.get(about=f"invoice:{note.pk}").payload["mail"] is True


def test_amounts_of_rows_are_credited(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    first, second = invoice.lines.filter(kind="line")[:2]
    amounts = {f"row-{first.pk}": "12.34", f"row-{second.pk}": ""}
    reviewed(owner, reverse("invoice-credit", args=[invoice.pk]), {"how": "parts", "reason": "Broken.", **amounts})
    note = Invoice.objects.get(kind="381")
    assert list(note.lines.values_list("credits", "amount_minor")) == [(first.pk, 1_234)]


def test_a_credit_of_more_than_is_left_or_of_nothing_is_refused_at_its_field(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    line = invoice.lines.filter(kind="line")[0]
    credit(invoice, {line.pk: line.amount_minor - 150})
    address = reverse("invoice-credit", args=[invoice.pk])
    page = text_of(owner.post(address, {"how": "parts", "reason": "Broken.", f"row-{line.pk}": "1.51"}))
    assert "At most $1.50 is left to credit here." in page
    page = text_of(owner.post(address, {"how": "parts", "reason": "Broken.", f"row-{line.pk}": "0"}))
    assert "Enter an amount for at least one item, or credit everything." in page
    assert "Enter the reason" in text_of(owner.post(address, {"how": "all", "reason": ""}))
    assert Invoice.objects.filter(kind="381").count() == 1
    reviewed(owner, address, {"how": "parts", "reason": "Broken.", f"row-{line.pk}": "1.50"})
    assert Invoice.objects.filter(kind="381").count() == 2


def test_amounts_beside_everything_are_a_contradiction_and_stay(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    line = invoice.lines.filter(kind="line")[0]
    form = {"how": "all", "reason": "Broken.", f"row-{line.pk}": "20", "do": "issue", "seen": f"{invoice.total_minor}"}
    page = text_of(owner.post(reverse("invoice-credit", args=[invoice.pk]), form))
    assert "Everything is chosen, and amounts are entered below." in page
    assert 'value="20"' in page
    assert not Invoice.objects.filter(kind="381").exists()


def test_no_credit_note_is_issued_before_its_total_was_shown(owner: Client) -> None:
    order = order_make(allergies=())
    pay(order, 10_000)
    invoice = invoice_make(order)
    address = reverse("invoice-credit", args=[invoice.pk])
    for form in ({"how": "all", "reason": "Rained off."}, {"how": "all", "reason": "Rained off.", "do": "issue"}):
        page = text_of(owner.post(address, form))
        assert "Review credit note for invoice I-00001" in page
        assert f'Total credited</th><td class="num">{minor(invoice.total_minor, "USD")}</td>' in page
        assert f"$0.00 of {minor(invoice.total_minor, 'USD')}" in page
        assert "To refund</dt><dd>$100.00</dd>" in page
        assert not Invoice.objects.filter(kind="381").exists()


def test_a_review_that_no_longer_holds_is_shown_again(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    address = reverse("invoice-credit", args=[invoice.pk])
    asked = {"how": "all", "reason": "Rained off.", "do": "issue", "seen": str(invoice.total_minor)}
    credit(invoice, {invoice.lines.filter(kind="line")[0].pk: 100})
    assert "I-00001 was credited meanwhile" in text_of(owner.post(address, asked))
    assert Invoice.objects.filter(kind="381").count() == 1


def test_what_was_reviewed_can_be_edited_and_a_form_sent_twice_makes_one_note(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    line = invoice.lines.filter(kind="line")[0]
    address = reverse("invoice-credit", args=[invoice.pk])
    whole = f"{line.amount_minor / 100:.2f}"
    asked = {"how": "parts", "reason": "Broken.", f"row-{line.pk}": whole, "idempotency_key": "k" * 32}
    page = text_of(owner.post(address, {**asked, "do": "edit"}))
    assert f'value="{whole}"' in page
    assert "Review credit note</button>" in page
    for _ in range(2):
        page = text_of(reviewed(owner, address, asked) if _ == 0 else owner.post(address, asked, follow=True))
        assert "Credit note C-00001" in page
    assert Invoice.objects.filter(kind="381").count() == 1


def test_a_credit_that_the_rate_has_no_room_for_says_so_on_the_form(owner: Client) -> None:
    invoice = invoice_make(order_make(allergies=()))
    credit(invoice)
    answer = owner.post(reverse("invoice-credit", args=[invoice.pk]), {"how": "all", "reason": "Again."})
    assert "Nothing was credited" in text_of(answer)
    assert Invoice.objects.filter(kind="381").count() == 1


def test_a_payment_is_recorded_once_from_its_form(owner: Client) -> None:
    order = order_make()
    address = reverse("order-pay", args=[order.pk])
    assert f'value="{order.deposit_minor / 100:.2f}"' in text_of(owner.get(address))
    for _ in range(2):
        page = text_of(owner.post(address, sent(reference="B 2107", note="by hand"), follow=True))
        assert f"of $50.00 on {order.number}." in page
    payment = Payment.objects.get()
    assert (payment.order, payment.kind, payment.method, payment.amount_minor) == (order, "payment", "30", 5_000)
    assert (payment.received_on, payment.reference, payment.note) == (NOW.date(), "B 2107", "by hand")
    assert (payment.recorded_by, payment.idempotency_key) == ("maren", "k" * 32)


def test_the_form_of_one_order_sent_for_another_is_refused_on_the_form(owner: Client) -> None:
    one, other = order_make(), order_make()
    owner.post(reverse("order-pay", args=[one.pk]), sent())
    page = text_of(owner.post(reverse("order-pay", args=[other.pk]), sent()))
    assert "already recorded $50.00" in page
    assert list(Payment.objects.values_list("order", flat=True)) == [one.pk]


def test_a_form_that_lost_its_key_is_a_payment_of_its_own(owner: Client) -> None:
    order = order_make()
    for _ in range(2):
        owner.post(reverse("order-pay", args=[order.pk]), sent(idempotency_key=""))
    assert Payment.objects.count() == len(set(Payment.objects.values_list("idempotency_key", flat=True))) == 2


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"received_on": f"{NOW + timedelta(days=1):%Y-%m-%d}"}, "This date is in the future."),
        ({"amount": "0"}, "The amount must be more than 0."),
        ({"amount": "-5"}, "The amount must be more than 0."),
        ({"kind": "gift"}, "Choose deposit, payment or refund."),
        ({"means": ""}, "Choose a payment method."),
        ({"kind": "refund"}, "At most $0.00 can be refunded"),
    ],
)
def test_a_payment_that_cannot_be_is_refused_with_the_reason(
    owner: Client, changed: dict[str, str], words: str
) -> None:
    assert words in text_of(owner.post(reverse("order-pay", args=[order_make().pk]), sent(**changed)))
    assert not Payment.objects.exists()


@pytest.mark.parametrize(
    ("money", "kind", "amount"),
    [
        (OrderMoney(total=1_000, deposit=300, received=0, invoiced=0, credited=0), "deposit", 300),
        (OrderMoney(total=1_000, deposit=300, received=299, invoiced=0, credited=0), "deposit", 1),
        (OrderMoney(total=1_000, deposit=300, received=300, invoiced=0, credited=0), "payment", 700),
        (OrderMoney(total=1_000, deposit=300, received=1_000, invoiced=0, credited=0), "payment", None),
        (OrderMoney(total=1_000, deposit=300, received=0, invoiced=1_000, credited=0), "payment", 1_000),
        (OrderMoney(total=1_000, deposit=300, received=999, invoiced=1_000, credited=0), "payment", 1),
        (OrderMoney(total=1_000, deposit=300, received=1_000, invoiced=1_000, credited=0), "payment", None),
        (OrderMoney(total=1_000, deposit=300, received=1_000, invoiced=1_000, credited=400), "refund", 400),
    ],
)
def test_the_form_suggests_what_most_likely_comes_or_goes_back(
    money: OrderMoney, kind: str, amount: int | None
) -> None:
    left = max(0, money.deposit - money.received)
    facts = {"scheduled": [Scheduled("deposit", money.deposit, left, NOW.date())], "today": NOW.date()}
    form = PaymentForm(order=Order(currency="USD"), money=money, kitchen=kitchen_make(), **facts)
    expected = None if amount is None else from_minor(amount, "USD")
    assert (form.initial["kind"], form.initial["amount"]) == (kind, expected)


def test_a_payment_is_taken_back_once_and_only_with_the_reason(owner: Client) -> None:
    order = order_make()
    payment = pay(order, 5_000)
    address = reverse("payment-reverse", args=[payment.pk])
    assert "Enter the reason, such as recorded on the wrong order." in text_of(owner.post(address, {"note": ""}))
    assert order_money(order).received == 5_000
    page = text_of(owner.post(address, {"note": "on the wrong order"}, follow=True))
    assert "Payment reversed. Both entries stay in the list." in page
    assert order_money(order).received == 0
    row = Payment.objects.get(reverses=payment)
    assert (row.note, row.recorded_by) == ("on the wrong order", "maren")
    assert owner.post(address, {"note": "again"}).status_code == 200
    assert Payment.objects.count() == 2


def test_a_payment_of_more_than_the_balance_asks_once(owner: Client) -> None:
    order = order_make()
    invoice = invoice_make(order)
    address = reverse("order-pay", args=[order.pk])
    assert "record it as overpaid" not in text_of(owner.get(address))
    paid = sent(amount=f"{(invoice.total_minor + 1_250) / 100:.2f}")
    page = text_of(owner.post(address, paid))
    assert "is $12.50 more than the balance: record it as overpaid?" in page
    assert 'name="over"' in page
    assert not Payment.objects.exists()
    for _ in range(2):
        owner.post(address, {**paid, "over": "on"})
    assert Payment.objects.get().amount_minor == invoice.total_minor + 1_250


def test_the_balance_sent_twice_is_no_question(owner: Client) -> None:
    order = order_make()
    paid = sent(amount=f"{invoice_make(order).total_minor / 100:.2f}")
    for _ in range(2):
        page = text_of(owner.post(reverse("order-pay", args=[order.pk]), paid, follow=True))
        assert "Recorded: " in page


def test_a_us_invoice_says_what_happens_on_its_day_and_others_the_date_of_supply(owner: Client) -> None:
    address = reverse("invoice", args=[invoice_make(order_make(allergies=())).pk])
    Kitchen.objects.update(country="US")
    assert "Delivery date" in text_of(owner.get(address))
    Inquiry.objects.update(hand_over="pickup")
    assert "Pickup date" in text_of(owner.get(address))
    Kitchen.objects.update(country="GB")
    assert "Date of supply" in text_of(owner.get(address))
