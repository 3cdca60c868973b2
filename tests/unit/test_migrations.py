"""A migration does the same in ten years: it holds what it needs, and imports little of today's code."""

import ast
from dataclasses import replace
from pathlib import Path

import pytest
from django.db.migrations.loader import MigrationLoader

from orders.invoices.models import Payment
from orders.records.immutable_rows import triggers
from tests.each import each

ROOT = Path(__file__).parents[2]
OURS = ("catalog", "config", "costing", "orders")
#: Field types and defaults that columns name; and the triggers, which follow from the tables of their time.
MAY = {"catalog.records.fields", "catalog.outbox.models", "orders.records.immutable_rows"}
FILES = sorted(file for app in OURS for file in (ROOT / app).glob("migrations/0*.py"))


@each("file", FILES, ids=lambda file: f"{file.parts[-3]}-{file.stem}")
def test_a_migration_imports_nothing_that_may_change(file: Path) -> None:
    found = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
    assert {name for name in found if name.split(".")[0] in OURS} <= MAY


@pytest.mark.parametrize("name", ["0001_initial", "0002_more_immutable_rows", "0003_running_sums_and_export_files"])
def test_an_earlier_migration_does_without_the_columns_of_later_rules(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    apps = MigrationLoader(None).project_state(("orders", name)).apps
    before = [trigger for trigger in triggers(apps) if trigger.table == "orders_payment"]
    later = replace(Payment.ROWS, erasable=(*Payment.ROWS.erasable, "later"), mutable=("later",), set_once=("later",))
    monkeypatch.setattr(Payment, "ROWS", later)
    assert [trigger for trigger in triggers(apps) if trigger.table == "orders_payment"] == before
