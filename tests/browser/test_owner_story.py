"""The owner quotes a wedding's dessert table: from the call to a quote that is out, and its revision."""

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from tests import factories
from tests.browser.conftest import OpenPage, save_picture
from tests.cooling_kitchen import cooling_kitchen_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]


def saturday() -> str:
    """A Saturday two months from now, as the day field takes it."""
    day = timezone.localdate() + timedelta(days=60)
    return (day + timedelta(days=(5 - day.weekday()) % 7)).isoformat()


@pytest.fixture
def owners_page(live_server: Any, open_page: OpenPage, sign_in: SignIn) -> Callable[..., Page]:
    """Return a function that opens a page as the owner of the small kitchen."""
    factories.kitchen_make()
    user = factories.user_make()

    def opened(address: str, *, width: int = 1280, **options: Any) -> Page:
        page = open_page(width=width, reduced_motion="reduce", **options)
        sign_in(page, user)
        page.goto(f"{live_server.url}{address}")
        return page

    return opened


def take_down(page: Page) -> None:
    page.get_by_role("link", name="New inquiry").click()
    page.get_by_label("Name", exact=True).fill("Ida Fenwick")
    page.get_by_label("E-mail").fill("ida@fenwick.example")
    page.get_by_label("Event name").fill("Wedding of Ida and Jonas")
    page.get_by_label("Date", exact=True).fill(saturday())
    page.get_by_label("Pickup or delivery from", exact=True).fill("3:30 pm")
    page.get_by_label("Pickup or delivery to", exact=True).fill("4 pm")
    page.get_by_label("Place", exact=True).fill("The Old Ropewalk")
    page.get_by_label("Miles one way").fill("17.4")
    page.get_by_label("Minutes one way").fill("35")
    page.get_by_label("Guests", exact=True).fill("80")
    page.get_by_label("Pieces per guest").fill("2.5")
    page.get_by_role("checkbox", name="tree nuts (all)").check()
    page.get_by_role("button", name="Save and add products").click()


def compose(page: Page) -> None:
    for row, (product, share) in enumerate((("Custard tart, 10 cm", "60"), ("Quince square", "40"))):
        page.locator(f"#id_lines-{row}-product").select_option(label=product)
        page.locator(f"#id_lines-{row}-share").fill(share)
    page.get_by_role("button", name="Split by percentage").click()
    page.get_by_role("button", name="Add a product").click()
    page.locator("#id_lines-2-product").select_option(label="Walnut sponge cake, two tiers")
    page.locator("#id_lines-2-units").fill("1")
    page.locator("#id_lines-2-units").blur()


def test_a_table_is_quoted_from_the_call_to_the_quote_page(owners_page: Callable[..., Page], axe: Broken) -> None:
    page = owners_page("/inquiries/")
    take_down(page)
    expect(page.get_by_role("heading", name="Wedding of Ida and Jonas")).to_be_visible()
    compose(page)
    draft_estimate = page.locator("#draft-estimate")
    expect(draft_estimate).to_contain_text("Walnut sponge cake, two tiers (contains walnuts)")
    expect(draft_estimate).to_contain_text("204 pieces for 200 planned: 4 more")
    expect(page.locator("#lines-2-sum")).to_contain_text("serves 40")
    assert axe(page) == []
    save_picture(page, "owner-sheet")

    expect(draft_estimate).not_to_have_attribute("aria-busy", "true")
    before = page.locator("#draft-estimate [data-total]").inner_text()
    page.get_by_label("Discount, %").fill("10")
    expect(page.locator("#draft-estimate [data-total]")).not_to_have_text(before)
    expect(draft_estimate).to_contain_text("Discount")
    assert not Quote.objects.get().lines.exists()  # nothing is saved by looking

    page.get_by_role("button", name="Review and send").click()
    expect(page.get_by_role("heading", name="Review and send")).to_be_visible()
    assert [line.units for line in Quote.objects.get().lines.all()] == [120, 84, 1]
    assert axe(page) == []
    save_picture(page, "owner-check")
    page.get_by_label("I have seen that guests cannot eat some of this").check()
    page.get_by_label("I have seen that nothing says how").check()
    page.get_by_role("button", name="Send quote").click()
    expect(page.get_by_text("sent", exact=True).first).to_be_attached()
    assert axe(page) == []
    save_picture(page, "owner-sent")

    page.get_by_role("button", name="Create revision").click()
    expect(page.get_by_text("The sent quote stays valid until you send this one.")).to_be_visible()
    assert Quote.objects.filter(status="sent").count() == 1
    assert Quote.objects.get(status="draft").revision == 2


def test_another_margin_is_looked_at_before_it_is_saved(owners_page: Callable[..., Page], axe: Broken) -> None:
    quote = factories.draft_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    page = owners_page(f"/quotes/{quote.pk}/what-if/")
    expect(page).to_have_url(re.compile(r"/why/$"))
    margin = page.get_by_role("table", name="The order now, and with these changes").get_by_role("row").last
    now = margin.get_by_role("cell").first.inner_text()
    assert now.endswith("%")
    page.get_by_label("Margin on each product, %").fill("65")
    expect(page.get_by_role("table", name="Products that change")).to_be_visible()
    expect(margin.get_by_role("cell").first).to_have_text(now)
    expect(margin.get_by_role("cell").last).to_contain_text("6")
    assert axe(page) == []
    save_picture(page, "owner-what-if")
    assert not any(line.unit_price_minor for line in quote.lines.all())
    page.get_by_role("button", name="Save these changes").click()
    expect(page.get_by_text("Saved. The quote has these figures now.")).to_be_visible()
    assert all(line.unit_price_minor for line in quote.lines.all())


@pytest.mark.parametrize("width", [1280, 390, 320])
def test_a_figure_opens_as_a_row_as_wide_as_its_list(owners_page: Callable[..., Page], axe: Broken, width: int) -> None:
    quote = factories.draft_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    page = owners_page(f"/quotes/{quote.pk}/why/", width=width, java_script_enabled=False)
    for opened in page.locator("details.figure-row").all()[:12]:
        opened.locator(":scope > summary").click()
    broad = "one => one.getBoundingClientRect().width"
    first = page.locator("details.figure-row[open]").first
    assert first.locator(".derivation").first.evaluate(broad) == first.evaluate(broad)
    assert first.evaluate(broad) >= width * 0.4
    save_picture(page, f"owner-why-open-{width}")
    page = owners_page(f"/quotes/{quote.pk}/why/", width=width)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    assert axe(page) == []


def test_another_quantity_is_tried_without_any_script(owners_page: Callable[..., Page]) -> None:
    quote = factories.draft_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    page = owners_page(f"/quotes/{quote.pk}/why/", java_script_enabled=False)
    page.get_by_label("Discount, %").fill("10")
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_label("Discount, %")).to_have_value("10")
    page.get_by_role("button", name="Save these changes").click()
    expect(page.get_by_text("Saved. The quote has these figures now.")).to_be_visible()
    quote.refresh_from_db()
    assert quote.discount == Decimal("0.1")


@pytest.mark.parametrize("width", [1280, 320])
def test_every_owners_page_meets_the_accessibility_rules_and_fits(
    owners_page: Callable[..., Page], axe: Broken, width: int, live_server: Any
) -> None:
    quote = factories.draft_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    inquiry = quote.inquiry_id
    addresses = [
        "/inquiries/",
        "/inquiries/new/",
        *(f"/inquiries/{inquiry}/{page}" for page in ("", "edit/", "copy/", "close/")),
        "/inquiries/customers/",
        f"/inquiries/customers/{quote.inquiry.customer_id}/",
        f"/inquiries/customers/{quote.inquiry.customer_id}/edit/",
        *(f"/quotes/{quote.pk}/{page}" for page in ("why/", "why/?discount=5", "terms/", "send/", "withdraw/")),
        "/quotes/repriced/",
    ]
    page = owners_page(addresses[0], width=width)
    for address in addresses:
        page.goto(f"{live_server.url}{address}")
        assert axe(page) == [], address
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, address
        save_picture(page, f"owner{re.sub(r'[^a-z-]+', '-', address)}{width}")


def test_a_table_is_composed_without_any_script(owners_page: Callable[..., Page]) -> None:
    factories.inquiry_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    page = owners_page(f"/inquiries/{Inquiry.objects.get().pk}/", java_script_enabled=False)
    page.locator("#id_lines-0-product").select_option(label="Quince square")
    page.locator("#id_lines-0-units").fill("24")
    page.get_by_role("button", name="Recalculate").click()
    expect(page.locator("#draft-estimate [data-total]")).to_contain_text("$")
    expect(page.locator("#id_lines-0-units")).to_have_value("24")
    page.get_by_role("button", name="Save", exact=True).click()
    assert Quote.objects.get().lines.get().units == 24


def test_travel_too_long_for_cold_food_is_reported_and_corrected(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Broken
) -> None:
    cooling_kitchen_make()
    ahead = timezone.now() + timedelta(days=60)
    far = factories.draft_make(at=timezone.now(), window_start=ahead, minutes=300, setup_minutes=40)
    page = open_page(width=1280, reduced_motion="reduce")
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/inquiries/{far.inquiry_id}/")
    draft_estimate = page.locator("#draft-estimate")
    expect(draft_estimate).to_contain_text("Travel and setup take 5 h 40 min; Custard tart, 10 cm; ")
    expect(draft_estimate).to_contain_text("may be out of the cold for 4 h at most")
    expect(draft_estimate).to_contain_text("travel of at most 3 h 20 min")
    assert axe(page) == []
    save_picture(page, "owner-too-far")

    page.get_by_role("link", name="Edit inquiry").click()
    page.get_by_label("Minutes one way").fill("200")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Saved at ")).to_be_visible()
    expect(draft_estimate).not_to_contain_text("out of the cold for")
    page.get_by_role("button", name="Review and send").click()
    quote_page = page.get_by_role("article", name="The quote as the customer sees it")
    expect(quote_page).to_contain_text("Keep at 41 °F or colder. At most 4 h out of the cold in all")


def test_what_was_wrong_with_a_quantity_goes_when_one_that_works_is_chosen(owners_page: Callable[..., Page]) -> None:
    page = owners_page("/inquiries/")
    take_down(page)
    tart = Product.objects.get(name="Custard tart, 10 cm")
    tart.sale_multiple = 12
    tart.save()
    catalog_changed()
    page.reload()
    page.locator("#id_lines-0-product").select_option(label=tart.name)
    page.locator("#id_lines-0-units").fill("131")
    page.get_by_role("button", name="Review and send").click()
    expect(page.locator("[data-errors]")).to_contain_text("1 problem to fix")
    assert page.locator("#id_lines-0-units_error").bounding_box()["width"] >= 150  # type: ignore[index]  # it is shown
    page.get_by_role("button", name="Use 132").click()
    expect(page.locator("[data-errors]")).to_have_count(0)
    expect(page.locator("#id_lines-0-units_error")).to_have_count(0)
    expect(page.locator("tr.wrong")).to_have_count(0)
    expect(page.locator("#id_lines-0-units")).to_have_value("132")
    expect(page.locator("#id_lines-0-units")).to_be_focused()


def test_what_is_not_saved_has_no_check_beside_the_other_orders(owners_page: Callable[..., Page]) -> None:
    draft = factories.draft_make(at=timezone.now(), window_start=timezone.now() + timedelta(days=60))
    page = owners_page(f"/inquiries/{draft.inquiry_id}/")
    beside, words = page.locator("#beside"), "Save to check this time against the other orders."
    expect(beside.get_by_text("Being checked")).to_be_visible()
    expect(beside.get_by_text(words)).to_be_hidden()
    page.locator("#id_lines-0-units").fill("84")
    expect(beside.get_by_text(words)).to_be_visible()
    expect(beside.get_by_text("Being checked")).to_be_hidden()
    page.locator("#id_lines-0-units").fill("78")
    expect(beside.get_by_text(words)).to_be_hidden()
    page.locator("#id_lines-0-units").fill("84")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Saved at ")).to_be_visible()
    expect(beside.get_by_text(words)).to_be_hidden()


def test_a_need_that_is_not_met_stands_with_the_figures(owners_page: Callable[..., Page]) -> None:
    page = owners_page("/inquiries/")
    take_down(page)
    page.locator("#id_lines-0-product").select_option(label="Walnut sponge cake, two tiers")
    page.locator("#id_lines-0-units").fill("1")
    expect(page.locator(".figures .state")).to_contain_text("1 allergy or diet not met")
    assert "No problems" not in page.locator(".figures .state").inner_text()
