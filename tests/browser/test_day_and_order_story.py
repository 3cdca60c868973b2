"""An order from its deposit to its end, on a phone: state, what is next and money are in the first screen each time."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from catalog.products.models import ProductStep
from catalog.web.access import BOOKKEEPER, KITCHEN
from orders.approvals.models import Message
from orders.invoices.services import invoice_issue
from orders.orders.models import Order
from tests import factories
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import BY
from tests.integration.orders.builders import invoice_make, order_make, pay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]
#: The part of a phone that is seen before anything is scrolled [px].
WIDTH, HEIGHT = 390, 844


@pytest.fixture
def order() -> Order:
    """What is made for it keeps so long that nobody is asked about an early start."""
    now = timezone.now()
    made = order_make(at=now - timedelta(days=1), window_start=now + timedelta(days=6))
    ProductStep.objects.filter(hold_max__isnull=False).update(hold_max=14_400)
    catalog_changed()
    return made


def in_first_screen(page: Page, *parts: str) -> None:
    for part in parts:
        box = page.locator(part).first.bounding_box()
        assert box is not None, part
        assert box["y"] + box["height"] <= HEIGHT, (part, box)


def test_an_order_on_a_phone_answers_first_until_it_is_closed(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, order: Order, axe: Broken
) -> None:
    page = open_page(width=WIDTH, reduced_motion="reduce")
    page.set_viewport_size({"width": WIDTH, "height": HEIGHT})
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/orders/{order.pk}/")

    def stands(state: str, action: str) -> None:
        expect(page.locator(".state")).to_contain_text(state)
        expect(page.locator(".next .main")).to_have_text(action)
        page.evaluate("scrollTo(0, 0)")
        # What was saved is said above all this; once it is read, the page is as anybody opens it.
        page.goto(f"{live_server.url}/orders/{order.pk}/")
        in_first_screen(page, ".state", ".next .main", ".sums dl")
        assert axe(page) == []
        save_picture(page, f"order-{action.replace(' ', '-').lower()}")

    stands("Confirmed", "Record payment")
    page.locator(".next .main").click()
    page.get_by_label("Payment method").select_option(label="bank transfer")
    page.get_by_label("Amount").fill(f"{order.deposit_minor / 100:.2f}")
    page.get_by_role("button", name="Record payment").click()
    expect(page.get_by_role("status")).to_be_in_viewport()
    stands("Confirmed", "Start production")
    page.get_by_role("button", name="Start production").click()
    expect(page.get_by_role("status")).to_be_in_viewport()
    stands("In production", "Record delivery")
    page.locator(".next summary").click()
    page.get_by_label("Note about the delivery or pickup").fill("Taken by Jonas, 38 °F.")
    page.get_by_role("button", name="Record delivery").click()
    expect(page.get_by_role("status")).to_contain_text("is delivered.")
    stands("Delivered or picked up", "Create invoice")
    page.get_by_role("button", name="Create invoice").click()
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    stands("Delivered or picked up", "Open draft invoice")
    invoice = order.invoices.get()
    invoice = invoice_issue(invoice_id=invoice.pk, by=BY, at=timezone.now())
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    stands("Delivered or picked up", "Record payment")
    pay(order, invoice.due_minor, at=timezone.now())
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    stands("Delivered or picked up", "Close order")
    page.get_by_role("button", name="Close order").click()
    expect(page.locator(".state")).to_contain_text("Closed")
    expect(page.locator(".next .main")).to_have_count(0)
    page.goto(f"{live_server.url}/orders/{order.pk}/start/")
    expect(page.get_by_role("heading", level=1)).to_have_text(order.title)


@pytest.mark.parametrize("width", [1280, 320])
def test_an_order_whose_allergens_changed_and_the_day_read_well(
    width: int, live_server: Any, open_page: OpenPage, sign_in: SignIn, order: Order, axe: Broken
) -> None:
    now = timezone.now()
    Message.objects.create(quote=order.quote, kind="change", text="Twelve more tarts, please.", by="Ida", at=now)
    owing = order_make(at=now - timedelta(days=60), window_start=now - timedelta(days=40), title="Summer lunch")
    invoice_make(owing, at=now - timedelta(days=39))
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()
    page = open_page(width=width, reduced_motion="reduce")
    page.set_viewport_size({"width": width, "height": HEIGHT if width < 1000 else 800})
    for role in ("owner", KITCHEN, BOOKKEEPER):
        page.context.clear_cookies()
        sign_in(page, factories.user_make(role, f"somebody-{role}"))
        for name in ("", f"orders/{order.pk}/", "orders/", "orders/?show=all&sort=event"):
            page.goto(f"{live_server.url}/{name}")
            assert axe(page) == [], (role, name)
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (role, name)
            save_picture(page, f"glance-{role}-{name.strip('/').replace('/', '-').replace('?', '-')}-{width}")
    page.context.clear_cookies()
    sign_in(page, User.objects.get(username="somebody-owner"))
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    changed, following = page.locator(".note.stop").first.bounding_box(), page.locator(".next").bounding_box()
    assert changed is not None
    assert following is not None
    assert changed["y"] < following["y"]
    expect(page.locator(".next .main")).to_have_text("Send an e-mail about it")
    page.goto(live_server.url)
    if width > 320:
        in_first_screen(page, ".timed li a.event")
    expect(page.get_by_role("link", name="New inquiry")).to_be_in_viewport()


def test_a_note_that_is_not_saved_survives_the_start_of_production(
    order: Order, live_server: Any, open_page: OpenPage, sign_in: SignIn
) -> None:
    page = open_page()
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept())[1])
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/orders/{order.pk}/")
    page.get_by_label("Kitchen note").fill("Bring the tall stand")
    page.get_by_role("button", name="Start production").click()
    expect(page.get_by_text("is in production.")).to_be_visible()
    expect(page.get_by_text("Your unsaved changes are back as you left them.")).to_be_visible()
    expect(page.get_by_label("Kitchen note")).to_have_value("Bring the tall stand")
    page.get_by_role("button", name="Save note").click()
    expect(page.get_by_text("Note saved.")).to_be_visible()
    expect(page.get_by_text("Your unsaved changes are back")).to_have_count(0)
    assert Order.objects.get(pk=order.pk).note == "Bring the tall stand"
    assert asked == []


def test_entries_of_an_ingredient_survive_a_price_recorded_beside_them(
    order: Order, live_server: Any, open_page: OpenPage, sign_in: SignIn
) -> None:
    found = Ingredient.objects.filter(packs__isnull=False).distinct()[0]
    page = open_page()
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept())[1])
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/catalog/ingredients/{found.pk}/")
    page.locator("#ingredient-form [name=note]").fill("Ask for the new harvest")
    page.locator("#new-price summary").click()
    page.locator("#new-price [name=size]").fill("2 kg")
    page.locator("#new-price [name=price]").fill("9.99")
    page.get_by_role("button", name="Record price").click()
    expect(page.get_by_text("Your unsaved changes are back as you left them.")).to_be_visible()
    expect(page.locator("#ingredient-form [name=note]")).to_have_value("Ask for the new harvest")
    page.get_by_role("button", name="Discard changes").click()
    expect(page.get_by_text("Your unsaved changes are back")).to_have_count(0)
    expect(page.locator("#ingredient-form [name=note]")).to_have_value(found.note)
    assert asked == []
