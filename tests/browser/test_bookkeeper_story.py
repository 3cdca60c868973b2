"""The bookkeeper's month: what is not paid, a payment recorded, the register ticked off, an export taken away."""

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.web.access import BOOKKEEPER, KITCHEN
from orders.invoices.models import Invoice
from tests import factories
from tests.browser.conftest import OpenPage, save_picture
from tests.integration.orders.builders import credit, invoice_make, order_make, pay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]
WIDTHS = (1280, 320)


@pytest.fixture
def books() -> list[Invoice]:
    """An invoice that is overdue and one that is paid in part and credited in part; PDFs wait for the outbox."""
    now = timezone.now()
    made = []
    for days in (40, 20):
        order = order_make(at=now - timedelta(days=days + 20), window_start=now + timedelta(days=3))
        pay(order, order.deposit_minor, "deposit", at=now - timedelta(days=days + 10), reference="B 2107")
        made.append(invoice_make(order, at=now - timedelta(days=days)))
    pay(made[1].order, 20_000, at=now - timedelta(days=10))
    line = made[1].lines.filter(kind="line")[0]
    credit(made[1], {line.pk: 12 * line.unit_price_minor}, at=now - timedelta(days=9))
    return made


def test_the_bookkeeper_gets_clean_books(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, books: list[Invoice]
) -> None:
    page = open_page(reduced_motion="reduce")
    sign_in(page, factories.user_make(BOOKKEEPER, "tess"))
    page.goto(live_server.url)
    expect(page.get_by_role("heading", name="Money")).to_be_visible()
    page.get_by_role("link", name="Money", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Register")
    page.get_by_role("link", name="Not paid", exact=True).click()
    expect(page.get_by_role("heading", name="Invoices and credit notes, not paid")).to_be_visible()
    page.get_by_role("link", name="I-00001").click()
    page.get_by_role("link", name="Record payment").click()
    page.get_by_label("Payment method").select_option(label="bank transfer")
    page.get_by_label("Amount").fill("lots")
    page.get_by_label("Reference").fill("B 3001")
    page.get_by_role("button", name="Record payment").click()
    expect(page.get_by_role("alert")).to_contain_text("Write the amount as a number")
    expect(page.get_by_label("Reference")).to_have_value("B 3001")
    page.get_by_label("Amount").fill(f"${books[0].due_minor / 100:,.2f}")
    page.get_by_role("button", name="Record payment").click()
    expect(page.get_by_role("status")).to_contain_text("Recorded: payment of $")
    page.get_by_role("link", name="Money", exact=True).click()
    page.get_by_role("link", name="Exports", exact=True).first.click()
    page.get_by_role("link", name="Export these documents").click()
    page.get_by_role("button", name="Create export").click()
    expect(page.get_by_role("status").last).to_contain_text("The files of an export are being written.")
    assert outbox_run(row_id=Outbox.objects.get(kind="export_files").pk, at=timezone.now())
    with page.expect_download() as waiting:
        page.get_by_role("link", name="CSV of export 1").click()
    rows = list(csv.DictReader(io.StringIO(Path(waiting.value.path()).read_text(encoding="utf-8-sig"))))
    assert [row["Number"] for row in rows] == ["I-00001", "I-00002", "C-00001", "3"]
    total = sum(round(float(row["Total"]) * 100) for row in rows[:-1])
    assert round(float(rows[-1]["Total"]) * 100) == total
    assert Invoice.objects.get(pk=books[0].pk).status == "paid"


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_page_waits_for_a_pdf_and_has_it_when_it_is_made(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, books: list[Invoice], axe: Broken, scripts: bool
) -> None:
    page = open_page(width=390, java_script_enabled=scripts)
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/money/invoices/{books[0].pk}/")
    page.get_by_role("link", name="The PDF is being made").click()
    expect(page.get_by_role("status")).to_contain_text("PDF is being made")
    if scripts:
        assert axe(page) == []
        save_picture(page, "pdf-waits")
    row = Outbox.objects.get(kind="invoice_pdf", about=f"invoice:{books[0].pk}")
    assert outbox_run(row_id=row.pk, at=timezone.now())
    expect(page.get_by_role("status")).to_contain_text("It is ready.")
    if scripts:
        save_picture(page, "pdf-is-there")
    with page.expect_download() as download:
        page.get_by_role("link", name="Open the PDF").click()
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF")


PAGES = ["/money/", "/money/due/", "/money/payments/", "/money/exports/", "/money/exports/new/", "/orders/"]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_pages_of_money_read_well_at_any_width(
    width: int, live_server: Any, open_page: OpenPage, sign_in: SignIn, books: list[Invoice], axe: Broken
) -> None:
    page = open_page(width=width, reduced_motion="reduce")
    sign_in(page, factories.user_make())
    order, invoice = books[1].order, books[1]
    about = [f"/orders/{order.pk}/", f"/orders/{order.pk}/pay/", f"/orders/{order.pk}/cancel/"]
    about += [f"/money/invoices/{invoice.pk}/", f"/money/invoices/{invoice.pk}/credit/", "/"]
    for address in [*PAGES, *about]:
        page.goto(f"{live_server.url}{address}")
        assert axe(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
        save_picture(page, f"money{address.replace('/', '-')}{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_kitchens_sheets_read_well_at_any_width(
    width: int, live_server: Any, open_page: OpenPage, sign_in: SignIn, books: list[Invoice], axe: Broken
) -> None:
    page = open_page(width=width, reduced_motion="reduce")
    sign_in(page, factories.user_make(KITCHEN, "kim"))
    for name in ("", "shopping/", "recipes/", "prep/", "oven/", "cold/", "hand-over/"):
        page.goto(f"{live_server.url}/sheets/{name}")
        assert axe(page) == [], name
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
        save_picture(page, f"sheets-{name.strip('/')}-{width}")
