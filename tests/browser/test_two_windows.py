"""Two windows change one record: the second is shown both versions, and a service that is busy keeps what was sent."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Browser, Page

from orders.inquiries.models import Customer, Inquiry
from orders.quotes.models import Quote
from tests import factories

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Opened = Callable[[str], Page]
SignIn = Callable[[Page, User], None]


@pytest.fixture(params=[1280, 320])
def window(request: Any, browser: Browser, live_server: Any, sign_in: SignIn) -> Iterator[Opened]:
    """Return a function that opens the owner's window, without the console's watch: a browser complains of a 409."""
    factories.kitchen_make()
    user = factories.user_make()
    context = browser.new_context(viewport={"width": request.param, "height": 900}, reduced_motion="reduce")

    def opened(address: str) -> Page:
        page = context.new_page()
        sign_in(page, user)
        page.goto(f"{live_server.url}{address}")
        return page

    yield opened
    context.close()


def fits(page: Page) -> bool:
    """Return whether nothing stands out of the page at its width."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def test_a_form_that_was_overtaken_is_read_first_and_saving_again_is_a_decision(window: Opened) -> None:
    customer = factories.customer_make()
    address = reverse("customer-edit", args=[customer.pk])
    one, other = window(address), window(address)
    one.fill("[name=phone]", "555 0101")
    one.click("button.main")
    other.fill("[name=address]", "The Old Ropewalk")
    other.click("button.main")
    note = other.locator(".versions")
    assert "Address: saved now nothing, you entered The Old Ropewalk" in note.inner_text()
    assert "Phone: saved now 555 0101, before 555 0188" in note.inner_text()
    assert "versions" in other.evaluate("document.activeElement.className")
    assert other.input_value("[name=phone]") == "555 0101"
    assert fits(other)
    other.click("button.main")
    other.wait_for_url(f"**{reverse('customer', args=[customer.pk])}")
    customer = Customer.objects.get(pk=customer.pk)
    assert (customer.phone, customer.address) == ("555 0101", "The Old Ropewalk")


def test_two_windows_of_a_draft_whose_figures_follow_as_one_types(window: Opened) -> None:
    quote = factories.draft_make()
    address = reverse("inquiry", args=[quote.inquiry_id])
    one, other = window(address), window(address)
    one.fill("[name=guests]", "140")
    one.click("button[value=save]")
    with other.expect_response(lambda answer: "/table/" in answer.url):
        other.fill("[name=lines-3-units]", "2")
    other.click("button[value=save]")
    assert "Guests: saved now 140, before 80" in other.locator(".versions").inner_text()
    assert fits(other)
    other.get_by_role("link", name="use what is saved").click()
    other.wait_for_load_state()
    assert other.input_value("[name=lines-3-units]") == "1"
    assert other.input_value("[name=guests]") == "140"
    assert (Inquiry.objects.get().guests, Quote.objects.get().lines.get(position=3).units) == (140, 1)


def test_what_was_sent_to_a_busy_service_is_sent_again(window: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    customer = factories.customer_make()
    page = window(reverse("customer-edit", args=[customer.pk]))

    def full(**_: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("orders.inquiries.customer_views.customer_change", full)
        page.fill("[name=note]", "Back door.\nRing twice & wait.")
        page.click("button.main")
        assert "Ring twice & wait." in page.inner_text("main")
        assert fits(page)
    page.get_by_role("button", name="Send again").click()
    page.wait_for_url(f"**{reverse('customer', args=[customer.pk])}")
    assert Customer.objects.get(pk=customer.pk).note == "Back door.\r\nRing twice & wait."
