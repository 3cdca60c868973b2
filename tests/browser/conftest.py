"""A headless Chromium for the stories, and the accessibility rules every page must meet."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from playwright.sync_api import Browser, Error, Page, expect, sync_playwright

NO_CHROMIUM = "no Chromium found: install it or name it in COLDSET_CHROMIUM"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # Text is as wide in the one without windows as in a Chromium with them.
    "--font-render-hinting=none",
]
#: What starts it, the quickest first.
PROGRAMS = ("chromium-headless-shell", "chromium", "chromium-browser")
#: How long a page is waited for [ms]: it only costs when something is broken, and a busy machine is slow.
PATIENCE = 120_000
OpenPage = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Run all stories of a file on one worker, with one Chromium."""
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.xdist_group(item.path.stem))


# Of this package, not of the session: its loop would run on under the tests that follow.
@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """Start the system's Chromium once."""
    program = os.environ.get("COLDSET_CHROMIUM") or next(filter(None, map(shutil.which, PROGRAMS)), None)
    if not program:
        if os.environ.get("COLDSET_NEEDS_BROWSER"):
            pytest.fail(NO_CHROMIUM)
        pytest.skip(NO_CHROMIUM)
    with pytest.MonkeyPatch.context() as environment, sync_playwright() as playwright:
        # Playwright's loop runs in this thread, and Django would take it for asynchronous code touching the database.
        environment.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        expect.set_options(timeout=PATIENCE)
        started = playwright.chromium.launch(executable_path=program, args=QUIET, timeout=PATIENCE)
        yield started
        started.close()


@pytest.fixture
def open_page(browser: Browser) -> Iterator[OpenPage]:
    """Return a function that opens an address at a width; a message on the console fails the test."""
    contexts: list[Any] = []
    wording: list[str] = []

    def opened(address: str = "", *, width: int = 1280, **options: Any) -> Page:
        context = browser.new_context(viewport={"width": width, "height": 900}, **options)
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda line: wording.append(line.text) if line.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: wording.append(str(error)))
        if address:
            page.goto(address)
        return page

    yield opened
    for context in contexts:
        context.close()
    # htmx writes to the console when a newer request takes the place of one under way; nothing is wrong then.
    assert [
        line for line in wording if not line.startswith(("htmx:abort", "htmx:afterRequest", "htmx:sendAbort"))
    ] == []


@pytest.fixture
def sign_in(live_server: Any) -> Callable[[Page, User], None]:
    """Return a function that signs somebody in on a page's browser, as the sign-in form would."""

    def signed_in(page: Page, user: User) -> None:
        client = Client()
        client.force_login(user)
        value = client.cookies[settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": live_server.url}])

    return signed_in


@pytest.fixture(scope="session")
def axe() -> Callable[[Page], list[str]]:
    """Return a function that names each broken rule of WCAG 2.2 A and AA with the elements that break it."""
    rules = Axe()
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    # Passed elements are not reported: that would take as long as the rules themselves. Sheets are not loaded once
    # more: what imports others would be put into the page, which its policy forbids, and no rule here reads them.
    options = {"runOnly": {"type": "tag", "values": tags}, "resultTypes": ["violations"], "preload": False}

    def broken(page: Page) -> list[str]:
        page.wait_for_load_state()
        try:
            found = rules.run(page, options=options).response
        except Error:  # The answer of a form took the place of the page that was looked at: look at the answer.
            page.wait_for_load_state()
            found = rules.run(page, options=options).response
        return [f"{rule['id']}: {node['html'][:160]}" for rule in found["violations"] for node in rule["nodes"]]

    return broken


def save_picture(page: Page, name: str) -> None:
    """Save a picture of the whole page in the folder COLDSET_PICTURES, if set."""
    folder = os.environ.get("COLDSET_PICTURES")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def look_at(page: Page, axe: Callable[[Page], list[str]], name: str, *widths: int) -> None:
    """Check a page at some widths against the accessibility rules, and that nothing has to be scrolled sideways."""
    page.wait_for_load_state()
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        fits = page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
        assert fits, f"{name} at {width}"
        assert axe(page) == [], f"{name} at {width}"
        save_picture(page, f"{name}-{width}")
