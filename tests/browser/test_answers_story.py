"""What a page answers is what was entered, and stays to be read: a credit note, and a message while files are made."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from orders.inquiries.models import Customer
from orders.invoices.models import Invoice
from tests import factories
from tests.browser.conftest import OpenPage, save_picture
from tests.integration.orders.builders import invoice_make, order_make, pay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]


@pytest.mark.parametrize("width", [1280, 320])
def test_an_amount_entered_is_what_is_credited_after_one_look_at_its_total(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Broken, width: int
) -> None:
    now = timezone.now()
    factories.kitchen_make()
    order = order_make(at=now - timedelta(days=1), window_start=now + timedelta(days=60), allergies=())
    pay(order, order.deposit_minor, "deposit", at=now)
    invoice = invoice_make(order, at=now)
    page = open_page(width=width, reduced_motion="reduce")
    sign_in(page, factories.user_make())
    page.goto(live_server.url + reverse("invoice-credit", args=[invoice.pk]))
    expect(page.get_by_label("everything not credited yet")).to_be_checked()
    page.locator("input[name^=row-]").first.fill("20")
    expect(page.get_by_label("the amounts below")).to_be_checked()
    page.get_by_label("Reason").fill("Two tarts arrived broken.")
    page.get_by_role("button", name="Review credit note").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Review credit note for invoice I-00001")
    expect(page.locator("tfoot")).to_contain_text("Total credited")
    expect(page.locator("tfoot")).to_contain_text("$21.60")
    assert axe(page) == []
    save_picture(page, f"credit-review-{width}")
    assert not Invoice.objects.filter(kind="381").exists()
    page.get_by_role("button", name="Edit", exact=True).click()
    expect(page.locator("input[name^=row-]").first).to_have_value("20")
    expect(page.get_by_label("the amounts below")).to_be_checked()
    page.get_by_role("button", name="Review credit note").click()
    page.get_by_role("button", name="Issue credit note").click()
    expect(page.get_by_role("status").first).to_contain_text("Credit note C-00001 issued.")
    assert Invoice.objects.get(kind="381").net_minor == 2_000


def test_what_sending_answers_stays_while_the_pdf_is_made_and_so_does_the_focus(
    live_server: Any, open_page: OpenPage, sign_in: SignIn
) -> None:
    now = timezone.now()
    factories.kitchen_make()
    quote = factories.draft_make(at=now, window_start=now + timedelta(days=20))
    Customer.objects.update(email="")
    page = open_page(reduced_motion="reduce")
    sign_in(page, factories.user_make())
    page.goto(live_server.url + reverse("quote-send", args=[quote.pk]))
    for tick in page.locator("main input[type=checkbox]").all():
        tick.check()
    page.get_by_role("button", name="Send quote").click()
    message = page.locator(".said")
    expect(message).to_contain_text("The quote is final and can be approved. Send its link yourself")
    expect(message).to_be_focused()
    for _ in range(2):
        with page.expect_response(lambda answer: answer.url.endswith(reverse("quote", args=[quote.pk]))):
            pass
    page.wait_for_timeout(300)
    expect(message).to_have_count(1)
    expect(message).to_contain_text("The quote is final and can be approved. Send its link yourself")
    expect(message).to_be_focused()
    page.get_by_role("button", name="Create revision").focus()
    with page.expect_response(lambda answer: answer.url.endswith(reverse("quote", args=[quote.pk]))):
        pass
    page.wait_for_timeout(300)
    expect(page.get_by_role("button", name="Create revision")).to_be_focused()
