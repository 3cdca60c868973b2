"""Test databases that are copied from one migrated before hold what the code of today migrates."""

from pathlib import Path

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from tests import migrated_once


@pytest.mark.django_db
def test_the_test_database_has_every_migration() -> None:
    executor = MigrationExecutor(connection)
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []


def test_other_code_is_migrated_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = ("orders/migrations/0001_initial.py", "tests/settings.py", "constraints.txt", "catalog/records/rules.py")
    for file in files:
        (tmp_path / file).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / file).write_text("once")
    monkeypatch.setattr(migrated_once, "ROOT", tmp_path)
    marks = [migrated_once.code_mark.__wrapped__()]
    for file in files:
        (tmp_path / file).write_text("then")
        marks.append(migrated_once.code_mark.__wrapped__())
    assert len(set(marks)) == 5
