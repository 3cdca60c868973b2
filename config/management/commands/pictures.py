"""The pictures in the README: the demo kitchen's own pages, shot in Chromium."""

import shutil
import subprocess
import sys
import time
import urllib.request
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from config.management.commands.demo import PASSWORD
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from orders.invoices.models import Invoice
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

PORT: Final = 8467
CHROMIUM: Final = shutil.which("chromium") or shutil.which("chromium-headless-shell")
_FLAGS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-color-profile=srgb",
    "--font-render-hinting=none",
)


class Command(BaseCommand):
    """Serves the demo kitchen on a free port and takes screenshots of its pages."""

    help = "Shoot the README's pictures from the demo kitchen (set up by `make pictures`)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the folder to write to."""
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Start the server, take the screenshots, stop the server."""
        folder: Path = options["folder"]
        folder.mkdir(parents=True, exist_ok=True)
        with _served():
            pages, quote_page = _owner_pages(), _quote_page_link()
            for name in _shots(folder, pages, quote_page):
                self.stdout.write(f"{folder}/{name}.png")


@contextmanager
def _served() -> Iterator[None]:
    server = subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "manage.py", "serve", "--port", str(PORT), "--first", "demo prepare"], cwd=settings.BASE_DIR
    )
    try:
        for _ in range(600):
            if server.poll() is not None:
                raise CommandError("The demo kitchen could not be served; the lines above say why.")
            try:
                urllib.request.urlopen(f"http://localhost:{PORT}/health", timeout=2).close()
            except OSError:
                time.sleep(0.5)
            else:
                break
        yield
    finally:
        server.terminate()
        server.wait(timeout=30)


def _shots(folder: Path, pages: dict[str, str], quote_page: str) -> Iterator[str]:
    """Take the screenshots; the database is queried before, because Playwright's loop allows no queries."""
    from playwright.sync_api import sync_playwright  # a tool of development, absent where the service only runs

    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=CHROMIUM, args=list(_FLAGS))
        desk = browser.new_page(viewport={"width": 1280, "height": 860}, device_scale_factor=1)
        desk.goto(f"http://localhost:{PORT}{reverse('sign-in')}")
        desk.fill("[name=username]", "odile")
        desk.fill("[name=password]", PASSWORD.format("owner"))
        desk.click("main button")
        for name, path in pages.items():
            desk.goto(f"http://localhost:{PORT}{path}")
            desk.wait_for_timeout(400)
            desk.screenshot(path=folder / f"{name}.png")
            yield name
        phone = browser.new_page(viewport={"width": 390, "height": 844}, device_scale_factor=1.5)
        phone.goto(quote_page)
        phone.wait_for_timeout(400)
        phone.screenshot(path=folder / "quote-page-phone.png")
        yield "quote-page-phone"
        browser.close()


def _wedding() -> Quote:
    waiting = Quote.objects.filter(status=QuoteStatus.SENT, valid_until__gt=timezone.now())
    return waiting.order_by("-total_minor").select_related("inquiry")[0]


def _quote_page_link() -> str:
    return link_address(link_create(quote_id=_wedding().pk, at=timezone.now()))


def _owner_pages() -> dict[str, str]:
    """Return the address of each picture's page."""
    wedding = _wedding()
    draft = Quote.objects.filter(status=QuoteStatus.DRAFT, lines__isnull=False).order_by("-pk")[0]
    invoice = Invoice.objects.exclude(number=None).order_by("-pk")[0]
    return {
        "day": reverse("day"),
        "inquiry": reverse("inquiry", args=[draft.inquiry_id]),
        "why": reverse("quote-price-check", args=[wedding.pk]),
        "register": reverse("money-register"),
        "invoice": reverse("invoice", args=[invoice.pk]),
        "shopping": reverse("sheet-shopping"),
    }
