"""Static files as they are deployed: named by content, kept for a year, compressed; pages load what they use."""

import gzip
import re
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.test import Client, RequestFactory
from django.utils import timezone

from catalog.products.models import Product
from catalog.recipes.models import Recipe
from config import static_files
from config.compression import CompressionMiddleware
from config.settings import STORAGES
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from tests.factories import draft_make, kitchen_make, sent_make, user_make
from tests.integration.config.routes import routes
from tests.integration.orders.builders import invoice_make, order_make
from tests.served import A_YEAR, collected

# On one worker, so that the pages are walked once in a run.
pytestmark = [pytest.mark.django_db, pytest.mark.xdist_group("static files")]
BROWSER = {"Accept-Encoding": "gzip, deflate, br"}
LINKED = re.compile(r'(?:href|src)="(/static/[^"]+)"')
HASHED = re.compile(r"\.[0-9a-f]{12}\.\w+$")
PAGES_WITH_HTMX = {"/inquiries/new/", "/kitchen/overhead/"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder to collect into, once for all tests here."""
    return tmp_path_factory.mktemp("static")


@pytest.fixture
def deployed(folder: Path) -> Iterator[Client]:
    """A client of the service as it is deployed."""
    with collected(folder):
        yield Client(headers=BROWSER)


@pytest.fixture(scope="module")
def opened() -> dict[str, str]:
    """What the walk found; it is walked once for all tests here."""
    return {}


@pytest.fixture
def pages(deployed: Client, opened: dict[str, str]) -> dict[str, str]:
    """Every page that nobody, a customer and the owner can open, by its address."""
    if not opened:
        opened.update(_walked())
    return opened


def _walked() -> dict[str, str]:
    kitchen_make()
    rows = [draft_make(), sent_make(at=timezone.now()), order := order_make(), invoice_make(order)]
    rows += [row.inquiry for row in rows[:2]] + [Product.objects.all()[0], Recipe.objects.all()[0]]
    keys = dict.fromkeys(str(row.pk) for row in rows)
    found: dict[str, str] = {}
    for client in (Client(), _customer(rows[1]), _owner()):
        for route in routes():
            for key in keys if "999999" in route.path else ("",):
                path = route.path.replace("999999", key)
                if path not in found and (html := _html(client, path)):
                    found[path] = html
    return found


def _owner() -> Client:
    client = Client()
    client.force_login(user_make())
    return client


def _customer(quote: Any) -> Client:
    client = Client()
    client.get(link_address(link_create(quote_id=quote.pk, at=timezone.now())))
    return client


def _html(client: Client, path: str) -> str:
    answer = client.get(path)
    is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
    return answer.content.decode() if is_page else ""


def test_every_static_address_of_every_page_is_named_by_content_and_kept_for_a_year(
    pages: dict[str, str], deployed: Client
) -> None:
    assert len(pages) > 60, "the walk opens the pages"
    linked = {address for html in pages.values() for address in LINKED.findall(html)}
    sheets = [address for address in linked if address.endswith(".css")]
    assert sheets
    for sheet in sheets:
        with closing(Client().get(sheet)) as answer:
            text = b"".join(answer).decode()
        assert "@import" not in text
        linked |= {f"/static/{path}" for path in re.findall(r'url\("\.\./([^"]+)"\)', text)}
    for address in sorted(linked):
        with closing(deployed.get(address)) as answer:
            assert answer.status_code == 200, address
            assert HASHED.search(address), address
            assert "immutable" in answer["Cache-Control"], address
            assert int(re.findall(r"max-age=(\d+)", answer["Cache-Control"])[0]) >= A_YEAR, address
            assert answer.has_header("Content-Encoding") != address.endswith(".woff2"), address


def test_a_page_loads_htmx_only_where_something_asks_for_it(pages: dict[str, str]) -> None:
    asks = {path for path, html in pages.items() if re.search(r"\shx-[a-z]+=", html)}
    loads = {path for path, html in pages.items() if re.search(r"<script[^>]+htmx", html)}
    assert loads == asks
    assert asks >= PAGES_WITH_HTMX
    assert len(asks) < len(pages) / 2


def test_a_page_loads_our_script_only_where_it_has_something_to_do(pages: dict[str, str]) -> None:
    for path, html in pages.items():
        works = bool(re.search(r'method="post"|\shx-|\sdata-(?:errors|said|keep|add-row|print)\b', html))
        assert ("js/coldset" in html) == works, path
    quiet = [path for path in pages if re.fullmatch(r"/q/\d+/", path)]
    assert quiet
    assert not any("<script" in pages[path] for path in quiet), "the letter is read without a script"


def test_pages_travel_compressed_and_what_is_streamed_or_a_file_does_not(deployed: Client) -> None:
    kitchen_make()
    plain = Client().get("/cautions").content
    answer = deployed.get("/cautions")
    assert answer["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in answer["Vary"]
    assert gzip.decompress(answer.content) == plain
    assert len(answer.content) < len(plain)
    request = RequestFactory(headers=BROWSER).get("/")

    def passed(answer: HttpResponseBase) -> HttpResponseBase:
        return CompressionMiddleware(lambda _: answer)(request)

    text = "Lemon tart; " * 100
    assert not passed(HttpResponse(text, content_type="text/csv")).has_header("Content-Encoding")
    assert not passed(StreamingHttpResponse([text])).has_header("Content-Encoding")


def test_a_sheet_of_a_kind_of_page_holds_all_that_it_imports() -> None:
    for name in ("kitchen", "customer", "sheets"):
        found = finders.find(f"css/{name}.css")
        assert isinstance(found, str)
        parts = re.findall(r'@import "([^"]+)"', Path(found).read_text())
        whole = static_files.whole_sheet(f"css/{name}.css")
        assert len(parts) >= 6
        assert "@import" not in whole
        for part in parts:
            assert Path(found).with_name(part).read_text() in whole
        assert "@media print {" in whole.partition("Any page on paper")[0][-40:]


def test_whatever_serves_collects_when_the_sources_have_changed(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, started = tmp_path / "ours", []
    ours.mkdir()
    (ours / "a.txt").write_text("one")
    settings.STATICFILES_DIRS, settings.STATICFILES_FINDERS = [ours], [settings.STATICFILES_FINDERS[0]]
    settings.STATIC_ROOT, settings.STORAGES = tmp_path / "static", STORAGES

    def run(command: list[str], **_: object) -> None:
        started.append(command[3])
        (tmp_path / "static" / "collected-from").write_text(static_files._sources())

    monkeypatch.setattr(subprocess, "run", run)
    finders.get_finder.cache_clear()
    try:
        static_files.collect()
        static_files.collect()
        assert started == ["collectstatic"], "what is there is as the sources are"
        (ours / "a.txt").write_text("two")
        static_files.collect()
        assert len(started) == 2
        settings.DEBUG = True
        (ours / "a.txt").write_text("three")
        static_files.collect()
        assert len(started) == 2, "development serves the sources"
    finally:
        finders.get_finder.cache_clear()
