"""How to pay: on the customer's page, on the invoice, in mails; the code for euros; the page where it is entered."""

import re
from decimal import Decimal

import pytest
from django.core import mail
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from segno.helpers import make_epc_qr

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.web.display import kitchen_display
from orders.invoices.files import pdf_context
from orders.invoices.how_to_pay_content import bank_of, how_to_pay
from orders.invoices.mails import invoice_mail_ask
from orders.orders.models import Order
from tests.factories import NOW, approved_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import save_edit
from tests.integration.orders.builders import invoice_make, order_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db

IBAN = "DE89370400440532013000"
US_BANK = {"bank_holder": "Larkspur Lane Desserts LLC", "bank_routing": "111000025", "bank_account": "000123456789"}
PAGE = "https://pay.example/larkspur?sum={amount}&for={reference}"


def test_the_customers_page_says_where_and_with_which_number(client: Client) -> None:
    kitchen_make(**US_BANK, payment_page=PAGE, payment_details="Checks are welcome.")
    quote = approved_make()
    order = Order.objects.get(quote=quote)
    answer = entered(client, quote).get(f"/q/{quote.pk}/")
    words = text(answer)
    for part in ("Checks are welcome.", "Routing number 111000025", "Account number 000123456789"):
        assert part in words
    assert f"Reference {order.number}" in words
    amount = Decimal(order.deposit_minor) / 100
    assert f'href="https://pay.example/larkspur?sum={amount}&amp;for={order.number}"' in answer.content.decode()
    assert "Scan it" not in words, "the code is for euros"
    invoice = invoice_make(order)
    words = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert f"Reference {invoice.number}" in words


def test_a_kitchen_without_an_account_shows_its_own_words_alone(client: Client) -> None:
    kitchen_make(payment_details="Checks are welcome.")
    quote = approved_make()
    words = text(entered(client, quote).get(f"/q/{quote.pk}/"))
    assert "Checks are welcome." in words
    assert f"Please give the number {Order.objects.get(quote=quote).number}" in words
    assert "Account holder" not in words
    Kitchen.objects.update(payment_details="")
    assert "Account holder" not in text(entered(client, quote).get(f"/q/{quote.pk}/"))


def test_an_invoice_and_its_mail_have_the_account_and_its_number() -> None:
    kitchen_make(**US_BANK, payment_page=PAGE)
    invoice = invoice_make(order_make())
    invoice_mail_ask(invoice, at=NOW)
    row = Outbox.objects.get(kind="invoice_mail", about=f"invoice:{invoice.pk}")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    body = mail.outbox[-1].body
    assert "Routing number: 111000025" in body
    assert f"Reference: {invoice.number}" in body
    assert f"sum={Decimal(invoice.due_minor) / 100}&for={invoice.number}" in body
    assert "&amp;" not in body
    with kitchen_display(Kitchen.objects.get()):
        page = render_to_string("orders/invoices/pdf.html", {**pdf_context(invoice), "marked": False})
    assert f'<th scope="row">Reference</th><td>{invoice.number}</td>' in page


def test_the_code_of_euros_says_account_amount_and_reference() -> None:
    kitchen_make(bank_holder="Tansygasse Süßes", bank_iban=IBAN, bank_bic="MERRDEFF", country="DE")
    bank = bank_of(Kitchen.objects.get())
    pay = how_to_pay(bank, reference="I-00007", amount_minor=123_456, currency="EUR")
    same = make_epc_qr(name="Tansygasse Süßes", iban=IBAN, amount=Decimal("1234.56"), text="I-00007", bic="MERRDEFF")
    drawn = re.search(r' d="([^"]+)"', same.svg_inline(scale=4, border=4))
    assert drawn is not None
    assert drawn[1] in pay.code
    assert ("IBAN", "DE89 3704 0044 0532 0130 00") in pay.rows
    for amount, currency in ((0, "EUR"), (-5, "EUR"), (100_000_000_000, "EUR"), (123, "USD")):
        assert not how_to_pay(bank, reference="I-00007", amount_minor=amount, currency=currency).code


@pytest.mark.parametrize(
    ("country", "entries", "words"),
    [
        ("DE", {"bank_holder": "Tansy", "bank_iban": "DE88 3704 0044 0532 0130 00"}, "This IBAN has a mistake"),
        ("DE", {"bank_iban": IBAN}, "Enter whose account it is"),
        ("DE", {"bank_holder": "Tansy", "bank_bic": "MERRDEFF"}, "Enter the IBAN too"),
        ("DE", {"bank_holder": "Tansy", "bank_iban": IBAN, "bank_bic": "MERR"}, "A BIC has 8 or 11"),
        ("US", {**US_BANK, "bank_routing": "111000026"}, "This routing number has a mistake"),
        ("US", {**US_BANK, "bank_account": ""}, "Enter it too"),
        ("US", {**US_BANK, "bank_account": "12ab"}, "An account number has 4 to 17 digits."),
        ("US", {"payment_page": "http://pay.example/"}, "begins with https://"),
        ("US", {"payment_page": "https://pay.example/{sum}"}, "“{sum}” cannot be filled in."),
    ],
)
def test_what_has_a_mistake_is_refused_and_the_entries_stay(country: str, entries: dict[str, str], words: str) -> None:
    kitchen_make(country=country)
    page = save_edit(signed_in("owner"), reverse("kitchen-bank"), entries)
    assert words in text(page)
    for entry in filter(None, entries.values()):
        assert entry in page.content.decode()
    home = Kitchen.objects.get()
    assert (home.bank_holder, home.bank_iban, home.payment_page) == ("", "", "")


def test_what_fits_is_saved_without_its_spaces() -> None:
    kitchen_make(country="DE")
    owner, page = signed_in("owner"), reverse("kitchen-bank")
    entries = {"bank_holder": "Tansy", "bank_iban": "de89 3704 0044 0532 0130 00", "payment_page": PAGE}
    assert save_edit(owner, page, entries).status_code == 302
    home = Kitchen.objects.get()
    assert (home.bank_holder, home.bank_iban, home.payment_page) == ("Tansy", IBAN, PAGE)
    assert "DE89 3704 0044 0532 0130 00" in owner.get(page).content.decode()


def test_the_bank_page_shows_the_words_that_stand_before_the_account() -> None:
    kitchen_make(payment_details="By transfer to our old account.")
    owner = signed_in()
    page = text(owner.get(reverse("kitchen-bank")))
    assert "Your own words on how to pay" in page
    assert "By transfer to our old account." in page
    Kitchen.objects.update(payment_details="")
    assert "Your own words on how to pay" not in text(owner.get(reverse("kitchen-bank")))
