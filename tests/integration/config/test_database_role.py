"""The application's PostgreSQL role: all of the work goes on under it, and nothing else does."""

import secrets
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from config.database_role import READ_ONLY, rights
from orders.records.immutable_rows import rules
from tests.databases import RealDatabase

pytestmark = pytest.mark.django_db
KITCHEN = "tests.integration.processes.busy_kitchen"
NEVER_DELETED = sorted(model._meta.db_table for model, rule in rules() if not rule.may_be_deleted)


@pytest.fixture
def role(real_database: RealDatabase, tmp_path: Path) -> Iterator[RealDatabase]:
    """The database as the application's role sees it."""
    import psycopg  # only where a PostgreSQL is named

    name, password = f"coldset_app_{secrets.token_hex(4)}", "a password for a test"
    file = tmp_path / "password"
    file.write_text(password)
    for _ in range(2):  # the second time brings the rights up to date
        real_database.manage("database_role", name, "--password-file", str(file))
    parts = urlsplit(real_database.location)
    place = f"{name}:{password.replace(' ', '%20')}@{parts.hostname}:{parts.port}"
    yield replace(real_database, location=urlunsplit(parts._replace(netloc=place)))
    with psycopg.connect(real_database.location, autocommit=True) as owner:
        owner.execute(f"DROP OWNED BY {name}".encode())
        owner.execute(f"DROP ROLE {name}".encode())


def _refused(role: RealDatabase, statements: list[str]) -> None:
    import psycopg

    done = []
    with psycopg.connect(role.location, autocommit=True) as connection:
        for statement in statements:
            try:
                connection.execute(statement.encode())
            except psycopg.errors.InsufficientPrivilege:
                continue
            done.append(statement)
    assert done == []


@pytest.mark.postgres
def test_a_whole_order_from_sign_in_to_export_and_backup_goes_on_under_the_role(
    role: RealDatabase, tmp_path: Path
) -> None:
    role.run(KITCHEN, "fill")
    role.run(KITCHEN, "export")
    assert role.run(KITCHEN, "sign_in").split() == ["302", "200", "True"]
    assert role.rows("SELECT COUNT(*) FROM catalog_outbox WHERE status <> 'done'") == [(0,)]
    assert role.rows("SELECT COUNT(*) FROM orders_exportitem") == [(1,)]
    saved = replace(role, extra={"COLDSET_VAR": str(tmp_path)})
    assert "1 orders" in saved.manage("backup", str(tmp_path / "kitchen.backup"))


@pytest.mark.postgres
def test_no_structure_is_made_changed_or_dropped_under_the_role(role: RealDatabase) -> None:
    _refused(
        role,
        [
            "CREATE TABLE mine (id int)",
            "CREATE TEMPORARY TABLE mine (id int)",
            "CREATE SCHEMA mine",
            "CREATE FUNCTION mine() RETURNS int LANGUAGE sql AS 'SELECT 1'",
            "ALTER TABLE orders_invoice ADD COLUMN more int",
            "ALTER TABLE orders_invoice DISABLE TRIGGER ALL",
            "DROP TRIGGER orders_invoice_update ON orders_invoice",
            "DROP FUNCTION coldset_refuse() CASCADE",
            "DROP TABLE orders_message",
            "CREATE INDEX mine ON orders_invoice (number)",
            "SET session_replication_role = replica",
            "COPY orders_payment TO PROGRAM 'true'",
            "CREATE ROLE mine",
            "ALTER ROLE CURRENT_USER SUPERUSER",
        ],
    )


@pytest.mark.postgres
def test_nothing_is_emptied_deleted_or_changed_that_never_is(role: RealDatabase) -> None:
    every = [right.table for right in rights()]
    refused = [f"TRUNCATE {table} CASCADE" for table in every]
    refused += [f"DELETE FROM {table}" for table in NEVER_DELETED]  # noqa: S608 - names are ours
    refused += [
        f"UPDATE {right.table} SET {_fixed_column(right.table)} = {_fixed_column(right.table)}"  # noqa: S608
        for right in rights()
        if right.columns or not right.update
    ]
    for table in READ_ONLY:
        refused += [f"DELETE FROM {table}", f"UPDATE {table} SET id = id", f"INSERT INTO {table} DEFAULT VALUES"]  # noqa: S608
    _refused(role, refused)


def _fixed_column(table: str) -> str:
    (model,) = [model for model, _ in rules() if model._meta.db_table == table]
    return str(model._meta.pk.column)


@pytest.mark.postgres
def test_a_role_that_owns_the_tables_is_refused(real_database: RealDatabase) -> None:
    owner = urlsplit(real_database.location).username
    assert "owns the tables" in real_database.refusal("database_role", str(owner))


def test_rights_follow_from_the_rules_of_the_rows() -> None:
    by_table = {right.table: right for right in rights()}
    assert not by_table["orders_payment"].delete
    assert by_table["orders_payment"].columns == ("note",)
    assert by_table["orders_numberseries"].columns == ("last",)
    assert by_table["orders_document"].update is False
    assert by_table["orders_quote"].delete, "drafts are given up"
    assert by_table["catalog_supplier"].delete
    assert not any(by_table[table].delete for table in NEVER_DELETED)


def test_sqlite_has_no_roles() -> None:
    if connection.vendor == "sqlite":
        with pytest.raises(CommandError, match="Only PostgreSQL has roles"):
            call_command("database_role", "coldset_app")
