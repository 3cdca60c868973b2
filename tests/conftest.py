"""Fixtures and hooks for all tests."""

import gc
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.backends.sqlite3.base import DatabaseOperations
from django.template.base import Variable
from hypothesis import HealthCheck, settings
from pytest_django import DjangoDbBlocker
from whitenoise.middleware import WhiteNoiseMiddleware

from catalog.book import selectors
from catalog.cooling import never_hot_claims
from config import collector
from orders.documents import pdf
from orders.records.immutable_rows import tables
from tests import remembered
from tests.databases import RealDatabase
from tests.factories import STIRRED_COLD
from tests.found_before import found_once
from tests.known_books import books_known, forgotten_between_tests
from tests.migrated_once import migrated_once, shared_dropped
from tests.strict_templates import resolve_strictly

# Deadlines measure the machine, not the code.
_SLOW_IS_FINE = [HealthCheck.too_slow]
settings.register_profile("default", max_examples=25, deadline=None, suppress_health_check=_SLOW_IS_FINE)
settings.register_profile("ci", max_examples=100, deadline=None, suppress_health_check=_SLOW_IS_FINE, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))

#: What this process rendered: page, style sheet and pictures -> the PDF.
KNOWN_PDFS: dict[tuple[object, ...], bytes] = {}
_SERVERS = {"postgres": "COLDSET_DATABASE_URL", "redis": "COLDSET_BROKER_URL"}


#: the suites whose tests start no process of the service: what asks for no database there cannot reach one
_IN_PROCESS = ("tests/unit/", "tests/published/", "tests/contract/")
#: What is computed from rows and how it reads on pages, in forms and files: the rows are the same on every database.
#: What differs is run on the servers: locks and races, rules of rows, numbers, sums, times of day in queries, sorting,
#: odd values in every kind of form, deleting, what is found by its text, and each package's services. Every page's
#: queries run there all the same: the hostile requests visit each with rows, and test_access as the owner, to whom all
#: open; that other roles are refused is decided before any query.
_WORDED = re.compile(
    r"""tests/integration/(?!.*/test_(overtaken_forms|passwords|locks|\w*services?\w*|quote_life)\.py)(
    catalog/(
        cooling/|first_steps/
        # What a file says and what it would change: no row yet. The import writes as the Book is written.
        |spreadsheets/test_(?!undo)|price_lists/test_(columns|names|corrections|leaps)\.py
        # What a name, a note or a stated figure leads to; the rows themselves are written by the forms beside them.
        |recipes/test_(recipes_figures|recipes_scale|room_safe_claims|recipe_standing|line_ingredient|step_waits
            |pieces_and_pounds)\.py
        |products/test_(folded_steps|words_claimed|load_plans|usual_desserts)\.py
        |pantry/test_(named_ingredients|free_by|label_answers|price_slips)\.py|test_near_names_asked\.py
        |kitchen/test_(cancellation_table|profile_effects|food_safety_rules)\.py|rates/test_station_plans\.py
    )|orders/(
        cooling_log/(?!test_(records|starting)\.py)|inquiries/test_(asked_none|shellfish)|planning/test_
        |production/test_(batch_sheets|batches_inside|hand_over_limits|hand_over_unkept|kept_cold|label_data|load_clocks
            |measuring_hours|product_limits|recipe_sheet_cooling|sheets_unpriced|procedure)\.py
        |quotes/(
            send/|cooling/|terms/|what_if/|price_check/|draft/test_(?!draft_estimate)
            |repriced/test_price_change_warns
            # What customers wrote and what they need, read once more where it is said.
            |test_(messages_|needs_|traces_|reasons_|claims_|other_needs|stated_less)
        )
        |approvals/test_(above_the_quote|held_words|messages_read|not_judged|page_records|quote_file|quote_page_tax
            |record_for_another_verdict|recorded_evidence|replaced_revision|signed_names|words_by_phone)\.py
        |orders/test_(informing|read_first|renamed_since|messages_unread)\.py|mail/test_(mail|kitchen_mails)\.py
        |invoices/test_(how_to_pay|bill_to)\.py
    )
    |config/test_access\.py::(?!test_every_route_opens_to_its_roles_and_to_nobody_else\[owner)
    |.*/test_(\w*pages?|\w*screens|\w*words?|\w*forms|british\w*|\w*labels\w*|\w*content|next_step|hostile_lists
        |password_rules|static_files|private_files|deploy|serve|logs|demo_year|edit_versions|quote_pdf|quote_pictures
        |head|names_of_people|german_sheets)\.py
    )""",
    re.VERBOSE,
)
#: Where the tests of a file begin with the same rows: on one worker they find there what the first of them made.
_BEGIN_ALIKE = "tests/integration/"
#: Where single tests take many seconds: begun first, so that no worker is left alone with one at the end.
_LONGEST = (
    "tests/hostile/test_requests.py",
    "tests/integration/orders/approvals/test_approval.py",
    "tests/unit/catalog/products/test_reading_time.py",
    "tests/integration/config/test_access.py",
    "tests/unit/config/test_command_line.py",
)


def pytest_collection() -> None:
    """Collect no garbage while tests are collected: all that is made there stays, and is walked again and again."""
    gc.disable()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip tests that need a server which is not configured; mark those that no server could make any different."""
    items.sort(key=lambda item: not item.nodeid.startswith(_LONGEST))
    for item in items:
        asks = item.get_closest_marker("django_db") or {"db", "transactional_db"} & {*getattr(item, "fixturenames", ())}
        on_server = any(item.get_closest_marker(marker) for marker in _SERVERS)
        if item.nodeid.startswith(_BEGIN_ALIKE) and not item.get_closest_marker("xdist_group"):
            item.add_marker(pytest.mark.xdist_group(item.nodeid.partition("::")[0]))
        alike = (item.nodeid.startswith(_IN_PROCESS) and not asks) or _WORDED.match(item.nodeid)
        if alike and not on_server:
            item.add_marker(pytest.mark.serverless)
        for marker, variable in _SERVERS.items():
            if item.get_closest_marker(marker) and not os.environ.get(variable):
                item.add_marker(pytest.mark.skip(reason=f"{variable} names no server (make test-services starts one)"))


def pytest_collection_finish() -> None:
    """Exclude modules and collected tests from garbage collection and make it rarer, as the web server does."""
    gc.enable()
    collector.settle()


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Fail a test whose group does not stay on one worker: nothing else would tell."""
    grouped = item.config.getoption("loadgroup", default=False) and item.get_closest_marker("xdist_group")
    if grouped and "@" not in item.nodeid:
        pytest.fail("This test is in a group, but this pytest and pytest-xdist divide its tests.", pytrace=False)


def pytest_configure(config: pytest.Config) -> None:
    """Name the run here, where it ends, instead of where its workers start."""
    if getattr(config.option, "testrunuid", "") is None:
        config.option.testrunuid = uuid4().hex


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Drop the database that the workers of this run copied, when all of them have ended."""
    server, run = os.environ.get("COLDSET_DATABASE_URL"), getattr(session.config.option, "testrunuid", "")
    if server and run and not hasattr(session.config, "workerinput"):
        shared_dropped(server, run)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name the browser stories that were skipped, so that nobody takes them for passed."""
    skipped = [
        report.nodeid for report in terminalreporter.stats.get("skipped", []) if "no Chromium" in str(report.longrepr)
    ]
    if skipped:
        terminalreporter.section("Chromium is missing: these browser stories were skipped")
        terminalreporter.write_line("\n".join(skipped))


def _filled_tables_emptied(cursor: Any) -> None:
    """Delete the few rows of a test on PostgreSQL, where to truncate sixty tables takes many times as long."""
    names = [f'"{name}"' for name in connection.introspection.django_table_names(only_existing=True)]
    cursor.execute(" UNION ALL ".join(f"(SELECT '{name}' FROM {name} LIMIT 1)" for name in names))  # noqa: S608
    filled = [row[0] for row in cursor.fetchall()]
    for name in filled:
        cursor.execute(f"ALTER TABLE {name} DISABLE TRIGGER USER")
    for name in filled:
        cursor.execute(f"DELETE FROM {name}")  # noqa: S608
    cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    for name in filled:
        cursor.execute(f"ALTER TABLE {name} ENABLE TRIGGER USER")


@pytest.fixture(scope="session", autouse=True)
def _empty_despite_triggers() -> Iterator[None]:
    """Put the rules of immutable rows aside while a transactional test's database is emptied, as its owner may."""
    flush = DatabaseOperations.execute_sql_flush

    def without_triggers(self: DatabaseOperations, statements: list[str]) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _ in triggers:
                cursor.execute(f"DROP TRIGGER {name}")
            flush(self, statements)
            for _, again in triggers:
                cursor.execute(again)

    truncate = BaseDatabaseOperations.execute_sql_flush

    def as_owner(self: BaseDatabaseOperations, statements: list[str]) -> None:
        if self.connection.vendor != "postgresql":
            truncate(self, statements)
            return
        if "RESTART" not in " ".join(statements):
            with transaction.atomic(), self.connection.cursor() as cursor:
                _filled_tables_emptied(cursor)
            return
        names = [(table, f"{table}_truncate") for table, _ in tables(apps)]
        off = [f"ALTER TABLE {table} DISABLE TRIGGER {name}" for table, name in names]
        on = [f"ALTER TABLE {table} ENABLE TRIGGER {name}" for table, name in names]
        truncate(self, [*off, *statements, *on])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BaseDatabaseOperations, "execute_sql_flush", as_owner)
        patch.setattr(DatabaseOperations, "execute_sql_flush", without_triggers)
        yield


@pytest.fixture(scope="session", autouse=True)
def _strict_templates() -> Iterator[None]:
    """Fail a test whose page asks one of our objects for an attribute it does not have."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Variable, "_resolve_lookup", resolve_strictly)
        yield


@pytest.fixture(scope="session", autouse=True)
def _static_files_listed_once() -> Iterator[None]:
    """Let the test clients share the list of static files; else each client's middleware would walk the folders."""
    scan = WhiteNoiseMiddleware.add_files_from_finders
    found: dict[str, Any] = {}

    def scanned_once(self: WhiteNoiseMiddleware) -> None:
        if not found:
            scan(self)
            found.update(self.files)
        self.files.update(found)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", scanned_once)
        yield


@pytest.fixture(autouse=True)
def _cache_emptied_before_each_test() -> None:
    """Forget the Book of another test's kitchen, which had the same revision number, and what that test replaced."""
    selectors.forget()
    remembered.replaced.clear()
    remembered.given.clear()
    forgotten_between_tests()


@pytest.fixture(scope="session", autouse=True)
def _stirred_cold_is_not_asked() -> Iterator[None]:
    """Let reviews not ask for the tick that the factories' recipes would need each time: most tests are about others.

    A recipe with any other reason, or none, is asked about.
    """
    every = never_hot_claims._unheated

    def others(*args: Any) -> Iterator[Any]:
        return (recipe for recipe in every(*args) if recipe.never_hot_reason != STIRRED_COLD)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(never_hot_claims, "_unheated", others)
        yield


@pytest.fixture(scope="session", autouse=True)
def _replacements_noted() -> Iterator[None]:
    """Let the factories know where a test replaced code: what they do then is not used again."""
    with remembered.keys_follow(), remembered.replacements_noted():
        yield


@pytest.fixture(scope="session", autouse=True)
def _pdfs_rendered_once() -> Iterator[None]:
    """Render a page as a PDF once: many tests send the same quote, and that the same page gives the same is tested."""
    render = pdf._rendered

    def rendered(html: str, paper: str, pictures: Mapping[str, bytes]) -> bytes:
        key = (html, paper, *sorted(pictures.items()))
        if remembered.replaced or key not in KNOWN_PDFS:
            KNOWN_PDFS[key] = render(html, paper, pictures)
        return KNOWN_PDFS[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pdf, "_rendered", rendered)
        yield


@pytest.fixture
def pdfs_rendered_anew() -> dict[tuple[object, ...], bytes]:
    """Forget the PDFs that other tests rendered, for a test of rendering; whoever clears them renders once more."""
    KNOWN_PDFS.clear()
    return KNOWN_PDFS


@pytest.fixture(scope="session", autouse=True)
def _books_known() -> Iterator[None]:
    """Give a test the Book that was read before from the same rows."""
    with books_known():
        yield


@pytest.fixture(scope="session", autouse=True)
def _found_once() -> Iterator[None]:
    """Let the product know what it found in a text or a file before."""
    with found_once():
        yield


@pytest.fixture
def found_anew() -> None:
    """Have every text and file read, for a test of reading them."""
    remembered.replaced.append("what was found before")


@pytest.fixture
def books_read_anew() -> None:
    """Have the Book read from its rows, for a test of reading it."""
    remembered.touched.append("what is known of Books")


@pytest.fixture(scope="session", autouse=True)
def _book_cached_despite_the_tests_transaction() -> Iterator[None]:
    """Cache the Book where no transaction is open but the test's own, which never commits, as in service.

    Otherwise each page and service that a test asks would read the whole catalog again.
    """

    def on_commit(store: Callable[[], object]) -> None:
        blocks = connection.atomic_blocks
        if blocks and getattr(blocks[-1], "_from_testcase", False):
            store()
        else:
            transaction.on_commit(store)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(selectors, "transaction", SimpleNamespace(on_commit=on_commit))
        yield


@pytest.fixture(scope="session")
def _databases_copied() -> Iterator[None]:
    """Copy test databases from one that the same code migrated before."""
    with migrated_once():
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: None, _databases_copied: None) -> None:
    """Have what databases are copied from known before any is made."""


@pytest.fixture(scope="session")
def django_db_setup(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """Make the test database; where it is SQLite, keep a copy of it as it is while it is new."""
    file = tmp_path_factory.mktemp("migrated") / "migrated.sqlite3"
    with django_db_blocker.unblock():
        if connection.vendor == "sqlite":
            connection.cursor().execute("VACUUM INTO %s", [str(file)])
    return file


@pytest.fixture(scope="session")
def _migrated(django_db_setup: Path) -> Iterator[RealDatabase]:
    with RealDatabase.migrated(django_db_setup) as database:
        yield database


@pytest.fixture
def real_database(_migrated: RealDatabase, tmp_path: Path) -> Iterator[RealDatabase]:
    """A migrated database of its own that several processes can open: SQLite, or PostgreSQL where one is named."""
    with _migrated.copy(tmp_path) as database:
        yield database


@pytest.fixture
def with_broker(real_database: RealDatabase) -> Iterator[RealDatabase]:
    """The database, its processes on an empty Redis that no other worker of the test run uses."""
    import redis  # only where a Redis is named

    own = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % 15 + 1
    address = urlsplit(os.environ["COLDSET_BROKER_URL"])._replace(path=f"/{own}").geturl()
    with redis.Redis.from_url(address) as server:
        server.flushdb()
        yield replace(real_database, extra={**real_database.extra, "COLDSET_BROKER_URL": address})
        server.flushdb()
