"""Immutable rows: triggers with which the database refuses changes to sent, issued and evidential rows.

Checks in Python can be bypassed by raw SQL, a shell or a later mistake; triggers cannot. A migration that alters
one of these tables on SQLite recreates the table and loses its triggers: end it with ``RunPython(install, remove)``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor


@dataclass(frozen=True)
class ImmutableDocument:
    """A table whose rows are immutable once they are no longer drafts.

    ``mutable`` fields may still change; ``set_once`` fields may be filled in once. ``last`` are final statuses. Without
    ``drafts`` a row is immutable from the start.
    """

    model: str
    name: str
    mutable: tuple[str, ...] = ()
    set_once: tuple[str, ...] = ()
    drafts: bool = False
    last: tuple[str, ...] = ()


@dataclass(frozen=True)
class ImmutablePart:
    """Rows that belong to a document and become immutable with it."""

    model: str
    parent: str
    key: str
    name: str


DOCUMENTS = (
    ImmutableDocument(
        "Quote",
        "a sent quote",
        mutable=("status", "answered_at"),
        set_once=("pdf",),
        drafts=True,
        last=("approved", "declined", "expired", "withdrawn"),
    ),
    ImmutableDocument("Invoice", "an issued invoice", mutable=("status",), set_once=("pdf",), drafts=True),
    ImmutableDocument("Document", "an issued file"),
    ImmutableDocument("StoredBytes", "an issued file"),
    ImmutableDocument("BookSnapshot", "the Book of a sent quote"),
    ImmutableDocument("Approval", "an approval", set_once=("pdf",)),
    ImmutableDocument("AuditEntry", "what was written down"),
    ImmutableDocument("Payment", "a recorded payment"),
    ImmutableDocument("ExportBatch", "an export"),
    ImmutableDocument("ExportItem", "what an export holds"),
)
PARTS = (
    ImmutablePart("QuoteLine", "Quote", "quote", "a sent quote"),
    ImmutablePart("QuoteExtra", "Quote", "quote", "a sent quote"),
    ImmutablePart("InvoiceLine", "Invoice", "invoice", "an issued invoice"),
    ImmutablePart("InvoiceTax", "Invoice", "invoice", "an issued invoice"),
)


@dataclass(frozen=True)
class Trigger:
    """One trigger: its table, when it fires, and its message."""

    name: str
    table: str
    event: str
    when: str
    says: str
    parent: str = ""
    column: str = ""


def install(apps: Any, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Drop and create every trigger for the present tables."""
    remove(apps, schema_editor)
    if _postgres(schema_editor):
        # Without params=None psycopg takes a % in the text for a placeholder.
        schema_editor.execute(_REFUSE, params=None)
        schema_editor.execute(_REFUSE_PART, params=None)
        for table, name in tables(apps):
            schema_editor.execute(_postgres_truncate(table, name), params=None)
    for trigger in triggers(apps, differs="IS DISTINCT FROM" if _postgres(schema_editor) else "IS NOT"):
        sql = _postgres_sql(trigger) if _postgres(schema_editor) else _sqlite_sql(trigger)
        schema_editor.execute(sql, params=None)


def remove(apps: Any, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Drop every trigger."""
    postgres = _postgres(schema_editor)
    for trigger in triggers(apps, differs="IS NOT"):
        table = f" ON {trigger.table}" if postgres else ""
        schema_editor.execute(f"DROP TRIGGER IF EXISTS {trigger.name}{table}")
    if postgres:
        for emptied, _ in tables(apps):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {emptied}_truncate ON {emptied}")
        schema_editor.execute("DROP FUNCTION IF EXISTS coldset_refuse()")
        schema_editor.execute("DROP FUNCTION IF EXISTS coldset_refuse_part()")


def tables(apps: Any) -> Iterator[tuple[str, str]]:
    """Return every table with rules, and what its rows are called."""
    for rule in (*DOCUMENTS, *PARTS):
        yield apps.get_model("orders", rule.model)._meta.db_table, rule.name


def triggers(apps: Any, *, differs: str) -> Iterator[Trigger]:
    """Return all triggers; ``differs`` is the database's null-safe inequality operator."""
    for document in DOCUMENTS:
        yield from _of_document(apps.get_model("orders", document.model), document, differs)
    for part in PARTS:
        yield from _of_part(apps, part)


def _of_document(model: Any, document: ImmutableDocument, differs: str) -> Iterator[Trigger]:
    table = model._meta.db_table
    fixed = "OLD.status <> 'draft'" if document.drafts else ""
    changed = _any(_changes(model, document, differs))
    yield Trigger(f"{table}_delete", table, "DELETE", fixed, f"{document.name} is never deleted")
    yield Trigger(f"{table}_update", table, "UPDATE", _all(fixed, changed), f"{document.name} never changes")
    if document.drafts:
        back = ["NEW.status = 'draft'"]
        if document.last:
            last = ", ".join(f"'{status}'" for status in document.last)
            back.append(f"(OLD.status IN ({last}) AND NEW.status <> OLD.status)")
        yield Trigger(
            f"{table}_status", table, "UPDATE", _all(fixed, _any(back)), f"{document.name} never goes back in its life"
        )


def _changes(model: Any, document: ImmutableDocument, differs: str) -> list[str]:
    """Return the condition that an immutable column changed: any column not named as mutable, even a new one."""
    conditions = []
    for field in model._meta.concrete_fields:
        changed = f"OLD.{field.column} {differs} NEW.{field.column}"
        if field.name in document.set_once:
            conditions.append(f"(OLD.{field.column} IS NOT NULL AND {changed})")
        elif field.name not in document.mutable:
            conditions.append(changed)
    return conditions


def _of_part(apps: Any, part: ImmutablePart) -> Iterator[Trigger]:
    table = apps.get_model("orders", part.model)._meta.db_table
    parent = apps.get_model("orders", part.parent)._meta.db_table
    for event in ("INSERT", "UPDATE", "DELETE"):
        yield Trigger(
            f"{table}_{event.lower()}",
            table,
            event,
            "",
            f"the lines of {part.name} never change",
            parent=parent,
            column=f"{part.key}_id",
        )


def _all(*conditions: str) -> str:
    return " AND ".join(f"({condition})" for condition in conditions if condition)


def _any(conditions: Sequence[str]) -> str:
    return " OR ".join(conditions)


def _postgres(schema_editor: BaseDatabaseSchemaEditor) -> bool:
    return schema_editor.connection.vendor == "postgresql"


def _sqlite_sql(trigger: Trigger) -> str:
    when = trigger.when
    if trigger.parent:
        rows = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}[trigger.event]
        when = _any(
            [
                f"(SELECT status FROM {trigger.parent} WHERE id = {row}.{trigger.column}) <> 'draft'"  # noqa: S608 - names are ours
                for row in rows
            ]
        )
    condition = f"WHEN {when} " if when else ""
    return (
        f"CREATE TRIGGER {trigger.name} BEFORE {trigger.event} ON {trigger.table} FOR EACH ROW {condition}"
        f"BEGIN SELECT RAISE(ABORT, '{trigger.says}'); END"
    )


def _postgres_sql(trigger: Trigger) -> str:
    condition = f"WHEN ({trigger.when}) " if trigger.when else ""
    call = f"coldset_refuse('{trigger.says}')"
    if trigger.parent:
        call = f"coldset_refuse_part('{trigger.says}', '{trigger.parent}', '{trigger.column}')"
    return (
        f"CREATE TRIGGER {trigger.name} BEFORE {trigger.event} ON {trigger.table} FOR EACH ROW {condition}"
        f"EXECUTE FUNCTION {call}"
    )


def _postgres_truncate(table: str, name: str) -> str:
    # TRUNCATE fires no trigger of rows. SQLite has no such statement: there every row is deleted, and refused.
    return (
        f"CREATE TRIGGER {table}_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT "
        f"EXECUTE FUNCTION coldset_refuse('{name} is never deleted')"
    )


_REFUSE = """
CREATE FUNCTION coldset_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
END $$
"""

# The shared lock makes a concurrent write of a line wait for the sending, and then fail.
_REFUSE_PART = """
CREATE FUNCTION coldset_refuse_part() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    old_key bigint;
    new_key bigint;
    found text;
BEGIN
    IF TG_OP <> 'INSERT' THEN
        old_key := (to_jsonb(OLD) ->> TG_ARGV[2])::bigint;
    END IF;
    IF TG_OP <> 'DELETE' THEN
        new_key := (to_jsonb(NEW) ->> TG_ARGV[2])::bigint;
    END IF;
    FOR found IN EXECUTE format('SELECT status FROM %I WHERE id IN ($1, $2) FOR SHARE', TG_ARGV[1])
        USING old_key, new_key
    LOOP
        IF found <> 'draft' THEN
            RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
        END IF;
    END LOOP;
    IF TG_OP = 'DELETE' THEN
        RETURN OLD;
    END IF;
    RETURN NEW;
END $$
"""
