"""What the main pages weigh: bytes and requests of a first load in Chromium, with the service as it is deployed.

Run by ``make bench``. "Again" is the same page once more in the same browser: what is named by content stays there.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from io import StringIO
from pathlib import Path
from typing import Any


def main() -> None:
    """Set up a demo kitchen of its own, measure, print."""
    program = os.environ.get("COLDSET_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-headless-shell")
    if not program:
        sys.stdout.write("weight of pages: not measured, there is no Chromium\n")
        return
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "COLDSET_VAR": folder,
            "COLDSET_DB": str(Path(folder) / "bench.sqlite3"),
            "COLDSET_LOG_LEVEL": "ERROR",
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "DJANGO_ALLOW_ASYNC_UNSAFE": "true",
        }
        import django

        django.setup()
        sys.stdout.write("\n".join(_measured(program, Path(folder) / "collected")) + "\n")


def _measured(program: str, folder: Path) -> list[str]:
    from playwright.sync_api import sync_playwright

    from tests.served import collected, server

    session, addresses = _kitchen()
    folder.mkdir()
    lines = [f"{'first load of a page':32}{'bytes':>10}{'requests':>10}{'again':>10}"]
    with collected(folder), server() as served, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-gpu"])
        for name, path in addresses.items():
            lines.append(_line(browser, name, served + path, session))
        browser.close()
    return lines


def _line(browser: Any, name: str, address: str, session: tuple[str, str]) -> str:
    from tests.served import weighed

    context = browser.new_context()
    context.add_cookies([{"name": session[0], "value": session[1], "url": address}])
    first = weighed(context.new_page(), address)
    again = weighed(context.new_page(), address, is_first=False)
    context.close()
    total, later = (sum(answer.size for answer in answers) for answers in (first, again))
    return f"{name:32}{total:>10,}{len(first):>10}{later:>10,}"


def _kitchen() -> tuple[tuple[str, str], dict[str, str]]:
    """Load the demo kitchen; return an owner's session cookie and the paths of the pages."""
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.test import Client
    from django.urls import reverse
    from django.utils import timezone

    from catalog.products.models import Product
    from catalog.recipes.models import Recipe
    from orders.approvals.links import link_create
    from orders.quotes.models import Quote

    os.environ["PROFILE"] = "us"
    call_command("demo", "prepare", stdout=StringIO())
    client = Client()
    client.force_login(User.objects.get(username="odile"))
    sent = Quote.objects.filter(status="sent").order_by("-total_minor")[0]
    draft = Quote.objects.filter(status="draft", lines__isnull=False).order_by("-pk")[0]
    token = link_create(quote_id=sent.pk, at=timezone.now())
    paths = {
        "the customer's quote page": reverse("link-login", args=[token]),
        "the day": reverse("day"),
        "enquiries": reverse("inquiries"),
        "an enquiry with its draft": reverse("inquiry", args=[draft.inquiry_id]),
        "why this price": reverse("quote-price-check", args=[sent.pk]),
        "the register": reverse("money-register"),
        "a product being edited": reverse("product-edit", args=[Product.objects.all()[0].pk]),
        "a recipe being edited": reverse("recipe-edit", args=[Recipe.objects.all()[0].pk]),
    }
    return (settings.SESSION_COOKIE_NAME, client.cookies[settings.SESSION_COOKIE_NAME].value), paths


if __name__ == "__main__":
    main()
