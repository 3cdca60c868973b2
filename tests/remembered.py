"""Factories of documents that write again what they wrote before, instead of doing the work again.

To send a quote and to approve it takes a hundred times as long as to write their rows, and most tests begin with it and
are about what comes after. What a factory did is used again only where everything it could read is the same: every row
of the catalog and of the orders, its arguments, the language and the time zone. It does the work itself outside a
test's transaction, under settings that a test changed, and where a test put something else in the place of code. The
clock alone may be a test's: what it shows is one of the things that have to be the same.
"""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import cache, wraps
from hashlib import sha256
from typing import Any, ParamSpec, TypeVar
from unittest import mock

import pytest
from django.apps import apps
from django.conf import UserSettingsHolder, settings
from django.db import connection, transaction
from django.db.models import Model
from django.utils import timezone, translation
from django.utils.crypto import get_random_string

from catalog.outbox.models import Outbox

#: The rows of each table by their keys, as the database keeps them.
Rows = dict[str, dict[Any, tuple[Any, ...]]]
_KNOWN: dict[Hashable, "_Made"] = {}
_CLOCK = timezone.now
_IS_THE_CLOCK = ("django.utils.timezone.now", (timezone, "now"))
#: What the running test has replaced.
replaced: list[object] = []
#: What it has replaced at any time.
touched: list[object] = []
#: What is no test's: factories put a file for the renderer of PDFs, and Django refuses connections before each test.
_NOBODYS = {"pdf_of", "ensure_connection"}
#: How many keys the running test was given after the last row of a table.
given: Counter[tuple[type[Model], int | None]] = Counter()
P = ParamSpec("P")
M = TypeVar("M", bound=Model)


@dataclass(frozen=True, slots=True)
class _Table:
    """A table with the statements that read its rows, their keys first, and that write one."""

    name: str
    read: str
    add: str
    change: str


@dataclass(frozen=True, slots=True)
class _Made:
    """What a factory wrote, what it wanted done after the commit, and the row it returned."""

    added: list[tuple[str, list[tuple[Any, ...]]]]
    changed: list[tuple[str, list[tuple[Any, ...]]]]
    after_commit: list[tuple[Callable[[], object], bool]]
    model: type[Model]
    key: Any


def remembered(make: Callable[P, M]) -> Callable[P, M]:
    """Let a factory that returns a row write what it wrote before, where everything is as it was then."""

    @wraps(make)
    def made(*args: P.args, **facts: P.kwargs) -> M:
        asked = repr((make.__module__, make.__qualname__, args, sorted(facts.items())))
        if not _can_be_known() or " at 0x" in asked:
            return make(*args, **facts)
        before = _rows()
        key = (asked, _mark(before), _moment(), translation.get_language(), timezone.get_current_timezone_name())
        if (known := _KNOWN.get(key)) is not None:
            return _again(known)
        waiting = len(connection.run_on_commit)
        found = make(*args, **facts)
        later = [(entry[1], bool(entry[2])) for entry in connection.run_on_commit[waiting:]]
        if (change := _change(before, _rows())) is not None:
            _KNOWN[key] = _Made(*change, later, type(found), found.pk)
        return found

    return made


def next_key(model: type[Model], length: int = 32) -> str:
    """Return a key for the next row of a table, which follows from its last: a random one makes every test's rows new.

    Several rows that are written at once each get their own. Outside a test's transaction others may write meanwhile.
    """
    blocks = connection.atomic_blocks
    if not blocks or not getattr(blocks[0], "_from_testcase", False):
        return get_random_string(length)
    # Beside Django, so that no test counts this query.
    cursor = connection.connection.cursor()
    try:
        last = cursor.execute(f'SELECT MAX(id) FROM "{model._meta.db_table}"').fetchone()[0]  # noqa: S608
    finally:
        cursor.close()
    given[model, last] += 1
    return sha256(f"{model._meta.db_table} {last} {given[model, last]}".encode()).hexdigest()[:length]


@contextmanager
def keys_follow() -> Iterator[None]:
    """Let the keys of mails follow from the rows there are."""
    field = Outbox._meta.get_field("message_key")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(field, "_get_default", lambda: next_key(Outbox))
        yield


def _can_be_known() -> bool:
    changed = isinstance(settings._wrapped, UserSettingsHolder)
    return connection.in_atomic_block and not replaced and not changed


def _moment() -> datetime | None:
    return None if timezone.now is _CLOCK else timezone.now()


@cache
def _tables() -> tuple[_Table, ...]:
    """Return the tables of catalog and orders; first the parts that nobody may add to later."""
    both = [apps.get_app_config(app) for app in ("catalog", "orders")]
    models = [model for app in both for model in app.get_models(include_auto_created=True)]
    models.sort(key=_after_what_it_closes)
    return tuple(_table(model) for model in models)


def _after_what_it_closes(model: type[Model]) -> bool:
    rules = getattr(model, "ROWS", None)
    return rules is None or not (rules.part_of or rules.added_until[0])


def _table(model: type[Model]) -> _Table:
    """A sign before a column leaves its value as SQLite keeps it, times as their text."""
    key = model._meta.pk.column
    columns = [key, *(field.column for field in model._meta.local_concrete_fields if field.column != key)]
    names = [f'"{column}"' for column in columns]
    read = ", ".join(f"+{name}" if connection.vendor == "sqlite" else name for name in names)
    table, values = f'"{model._meta.db_table}"', ", ".join("%s" for _ in names)
    return _Table(
        model._meta.db_table,
        f"SELECT {read} FROM {table}",  # noqa: S608
        f"INSERT INTO {table} ({', '.join(names)}) VALUES ({values})",  # noqa: S608
        f"UPDATE {table} SET {', '.join(f'{name} = %s' for name in names)} WHERE {names[0]} = %s",  # noqa: S608
    )


def _rows() -> Rows:
    with connection.cursor() as cursor:
        return {table.name: {row[0]: tuple(row) for row in cursor.execute(table.read)} for table in _tables()}


def _mark(rows: Rows) -> int:
    return hash(tuple(frozenset(found.values()) for found in rows.values()))


def _change(before: Rows, after: Rows) -> tuple[Any, Any] | None:
    """Return the statements that turn one state into another; None where rows went away."""
    added, changed = [], []
    for table in _tables():
        old, new = before[table.name], after[table.name]
        if old.keys() - new.keys():
            return None
        if more := [row for key, row in new.items() if key not in old]:
            added.append((table.add, more))
        if others := [(*row, key) for key, row in new.items() if key in old and row != old[key]]:
            changed.append((table.change, others))
    return added, changed


def _again(known: _Made) -> Any:
    """In one transaction: rows refer to rows of tables that come later."""
    with transaction.atomic(), connection.cursor() as cursor:
        for statement, rows in (*known.added, *known.changed):
            cursor.executemany(statement, rows)
    for call, robust in known.after_commit:
        transaction.on_commit(call, robust=robust)
    return known.model._base_manager.get(pk=known.key)


@contextmanager
def replacements_noted() -> Iterator[None]:
    """Note in :data:`replaced` what tests put in the place of code, by pytest's means or the standard library's."""
    setattr_, setitem, enter, leave = (
        pytest.MonkeyPatch.setattr,
        pytest.MonkeyPatch.setitem,
        mock._patch.__enter__,
        mock._patch.__exit__,
    )

    def attribute(self: pytest.MonkeyPatch, target: Any, name: Any, *value: Any, **more: Any) -> None:
        if target not in _IS_THE_CLOCK and (target, name) not in _IS_THE_CLOCK:
            replaced.append((target, name))
            touched.append((target, name))
        setattr_(self, target, name, *value, **more)

    def item(self: pytest.MonkeyPatch, target: Any, name: Any, value: Any) -> None:
        replaced.append((target, name))
        touched.append((target, name))
        setitem(self, target, name, value)

    def entered(self: Any) -> Any:
        replaced.append(self)
        if self.attribute not in _NOBODYS:
            touched.append(self)
        return enter(self)

    def left(self: Any, *why: Any) -> Any:
        replaced[:] = [other for other in replaced if other is not self]
        return leave(self, *why)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mock._patch, "__enter__", entered)
        patch.setattr(mock._patch, "__exit__", left)
        patch.setattr(pytest.MonkeyPatch, "setitem", item)
        patch.setattr(pytest.MonkeyPatch, "setattr", attribute)
        yield
