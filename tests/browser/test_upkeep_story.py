"""The owner sees that mail waits, and erases the personal data of somebody who asked her to."""

import zipfile
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_sweep
from catalog.upkeep.services import backup_recorded
from orders.approvals.services import ApprovalEvidence, quote_decline
from orders.inquiries.models import Customer
from orders.quotes.models import Quote
from tests import factories
from tests.browser.conftest import OpenPage, save_picture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Broken = Callable[[Page], list[str]]
SignIn = Callable[[Page, User], None]
WIDTHS = (1280, 320)


@pytest.fixture
def declined() -> Quote:
    """A declined quote, its mail done; another mail waits because its server does not answer."""
    now = timezone.now()
    factories.kitchen_make()
    quote = factories.sent_make(at=now - timedelta(days=3), window_start=now + timedelta(days=30))
    quote_decline(quote_id=quote.pk, reason="Too many tarts.", evidence=ApprovalEvidence(), at=now)
    Outbox.objects.update(status="done", done_at=now - timedelta(days=3))
    waits = {"created_at": now - timedelta(hours=1), "run_after": now + timedelta(minutes=20), "attempts": 3}
    error = {"code": "no_answer", "params": {"error": "ConnectionRefusedError"}}
    Outbox.objects.create(kind="mail", about="quote:0", summary="To Noor: the quote", error=error, **waits)
    backup_recorded(at=now - timedelta(hours=9), size=12_400_000, encrypted=True)
    return quote


@pytest.mark.parametrize("width", WIDTHS)
def test_the_owner_sees_why_mail_waits(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Broken, declined: Quote, width: int
) -> None:
    page = open_page(width=width, reduced_motion="reduce")
    sign_in(page, factories.user_make())
    page.goto(live_server.url)
    expect(page.get_by_role("heading", name="The service needs attention")).to_be_visible()
    save_picture(page, f"day-attention-{width}")
    page.get_by_role("link", name="Mail, files and backups").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Mail, files and backups")
    expect(page.get_by_text("1 e-mail has been waiting since")).to_contain_text("The mail server did not answer.")
    expect(page.get_by_text("The last backup was made")).to_contain_text("12.4 MB, encrypted")
    assert axe(page) == []
    save_picture(page, f"upkeep-{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_owner_exports_and_erases_a_persons_data(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, axe: Broken, declined: Quote, width: int
) -> None:
    page = open_page(width=width, reduced_motion="reduce", accept_downloads=True)
    sign_in(page, factories.user_make())
    page.goto(f"{live_server.url}/inquiries/customers/{declined.inquiry.customer_id}/")
    page.get_by_role("link", name="Personal data").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Personal data of Ida Fenwick")
    page.get_by_role("button", name="Export personal data").click()
    expect(page.get_by_role("status")).to_contain_text("The file is being made")
    outbox_sweep(at=timezone.now())
    with page.expect_download() as download:
        page.get_by_role("link", name="Download the ZIP file").click()
    assert "personal-data.html" in zipfile.ZipFile(download.value.path()).namelist()
    assert axe(page) == []
    page.get_by_role("link", name="The personal data of Ida Fenwick").click()
    expect(page.get_by_role("button", name="Erase personal data")).to_be_visible()
    assert axe(page) == []
    save_picture(page, f"personal-data-{width}")
    page.get_by_role("button", name="Erase personal data").click()
    expect(page.get_by_role("alert")).to_contain_text("Check the box")
    page.get_by_label("Erase this data permanently. It cannot be restored.").check()
    page.get_by_role("button", name="Erase personal data").click()
    expect(page.get_by_text("Personal data erased.")).to_be_visible()
    assert Customer.objects.get().name == "[erased]"
