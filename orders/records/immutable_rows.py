"""Immutable rows: triggers with which the database refuses changes to sent, issued and evidential rows.

Checks in Python can be bypassed by raw SQL, a shell or a later mistake; triggers cannot. What may change is said
beside each table (:class:`~orders.records.row_rules.RowRules`); the triggers of both databases are made from that. A
migration that changes rules ends with ``Rules(install, install)``. SQLite alters a table by making it anew: its
triggers go, and those of other tables that look into it are in the way. Such a migration begins with
``Rules(remove, install)`` and ends with ``Rules(install, remove)``.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.apps import apps as present
from django.db import router
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import RunPython
from django.db.migrations.state import ProjectState

from orders.records.row_rules import ERASE, ERASED, RowRules
from orders.records.rows_in_force import may_follow, names_back, renewable, renewing
from orders.records.states import TransitionTable
from orders.records.trigger_sql import POSTGRES_FOUND, REFUSE, REFUSE_PART, REFUSE_UNLESS, SQLITE_FOUND


@dataclass(frozen=True)
class Trigger:
    """One trigger: its table, when it fires, and its message.

    ``when`` speaks of the row alone; ``unless`` may look into other tables and lets the statement pass. ``parent`` and
    ``column`` are of a part, which is free while its document is a draft.
    """

    name: str
    table: str
    event: str
    when: str
    says: str
    unless: str = ""
    parent: str = ""
    column: str = ""


@dataclass(frozen=True)
class Dialect:
    """How a database compares values that may be missing, and puts a value into JSON."""

    differs: str
    same: str
    read: str
    put: str


# What is put is JSON too: "x" in quotes. A path is written with dots; one that is not there is left out.
SQLITE = Dialect("IS NOT", "IS", "json({text})", "json_replace({old}, '$.{path}', json('{value}'))")
POSTGRES = Dialect(
    "IS DISTINCT FROM",
    "IS NOT DISTINCT FROM",
    "({text})::jsonb",
    "jsonb_set({old}, string_to_array('{path}', '.'), '{value}', false)",
)


class Rules(RunPython):
    """Installs or removes triggers in a migration, with the tables as the migrations before it left them in memory.

    Triggers need a table's columns and what its keys lead to. ``RunPython`` has every table of the service made anew in
    memory first, which took a third of the time of migrating from nothing.
    """

    def database_forwards(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, from_state: ProjectState, to_state: ProjectState
    ) -> None:
        """Do it."""
        if router.allow_migrate(schema_editor.connection.alias, app_label):
            self.code(from_state.apps, schema_editor)


def install(apps: Any, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Drop and create every trigger for the tables that ``apps`` knows."""
    remove(apps, schema_editor)
    postgres = _postgres(schema_editor)
    if postgres:
        # Without params=None psycopg takes a % in the text for a placeholder.
        schema_editor.execute(REFUSE, params=None)
        schema_editor.execute(REFUSE_PART, params=None)
        for table, name in tables(apps):
            schema_editor.execute(_postgres_truncate(table, name), params=None)
    for trigger in triggers(apps, POSTGRES if postgres else SQLITE):
        for statement in _postgres_sql(trigger) if postgres else [_sqlite_sql(trigger)]:
            schema_editor.execute(statement, params=None)


def remove(apps: Any, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Drop every trigger, also one that an earlier release made."""
    with schema_editor.connection.cursor() as cursor:
        cursor.execute(POSTGRES_FOUND if _postgres(schema_editor) else SQLITE_FOUND)
        found = [row[0] for row in cursor.fetchall()]
    for statement in found:
        schema_editor.execute(statement, params=None)


def rules() -> Iterator[tuple[type[Any], RowRules]]:
    """Return the tables of today's code that have rules, and the rules."""
    for model in present.get_app_config("orders").get_models():
        found = getattr(model, "ROWS", None)
        if found is not None:
            yield model, found


def tables(apps: Any) -> Iterator[tuple[str, str]]:
    """Return every table with rules, and what its rows are called."""
    for model, rule in _known(apps):
        yield model._meta.db_table, rule.name


def triggers(apps: Any, dialect: Dialect = SQLITE) -> Iterator[Trigger]:
    """Return all triggers for the tables that ``apps`` knows, which in a migration are those of its time."""
    for model, rule in _known(apps):
        if rule.part_of:
            yield from _of_part(model, rule)
            continue
        yield from _of_document(model, rule, dialect)
        if rule.added_until[0]:
            yield _of_addition(model, rule)


def _known(apps: Any) -> Iterator[tuple[Any, RowRules]]:
    for model, rule in rules():
        try:
            then = apps.get_model("orders", model.__name__)
        except LookupError:
            continue  # a later migration makes it
        yield then, _of_its_time(then, rule)


def _of_its_time(model: Any, rule: RowRules) -> RowRules:
    """Leave out the columns a table does not have yet: an earlier migration installs the rules of today's code."""
    names = {field.name for field in model._meta.concrete_fields}
    return replace(
        rule,
        erasable=tuple(path for path in rule.erasable if path.split(".")[0] in names),
        erased_inside={name: places for name, places in rule.erased_inside.items() if name in names},
        rewritten_with={name: other for name, other in rule.rewritten_with.items() if {name, other} <= names},
        standing_with=rule.standing_with if rule.standing_with[0] in names else ("", ""),
        part_of=rule.part_of if rule.part_of in names else "",
        in_force=rule.in_force if names_back(model, rule.in_force) else None,
        renewed_with=rule.renewed_with if renewable(model, rule.renewed_with) else "",
        added_until=rule.added_until if rule.added_until[0] in names else ("", ""),
    )


def _of_document(model: Any, rule: RowRules, dialect: Dialect) -> Iterator[Trigger]:
    table = model._meta.db_table
    fixed = "OLD.status <> 'draft'" if rule.drafts else ""
    changed = _any(_changes(model, rule, dialect))
    gone = _written_down(model) if rule.deleted_when_erased else ""
    gone = renewing(model, rule, "OLD") if rule.renewed_with else gone
    yield Trigger(f"{table}_delete", table, "DELETE", fixed, f"{rule.name} is never deleted", unless=gone)
    yield Trigger(f"{table}_update", table, "UPDATE", _all(fixed, changed), f"{rule.name} never changes")
    transitions = _transitions_of(model)
    if transitions is not None:
        says = f"the status of {rule.name} never changes but along its table"
        yield Trigger(f"{table}_status", table, "UPDATE", _off_the_table(transitions), says)
    if rule.in_force is not None:
        key = model._meta.get_field(rule.in_force.column)
        says = f"what is in force of {rule.name} never changes but to an approved amendment of it"
        changed = f"OLD.{key.column} {dialect.differs} NEW.{key.column}"
        yield Trigger(f"{table}_in_force", table, "UPDATE", changed, says, unless=may_follow(model, rule.in_force))
    if rule.erasable or rule.erased_inside:
        says = f"{rule.name} is never erased before it is written down who erases it"
        names = [path.split(".")[0] for path in (*rule.erasable, *rule.erased_inside)]
        erased = _any([_changed(model, rule, name, dialect) for name in names])
        yield Trigger(f"{table}_erase", table, "UPDATE", _all(fixed, erased), says, unless=_may_be_erased(model, rule))


def _changes(model: Any, rule: RowRules, dialect: Dialect) -> list[str]:
    """Return the condition of a change that is never allowed, for each column that is not simply mutable."""
    free = {*rule.mutable, *(["status"] if _transitions_of(model) else [])}
    conditions = []
    for field in model._meta.concrete_fields:
        if field.name in free:
            continue
        changed = f"OLD.{field.column} {dialect.differs} NEW.{field.column}"
        allowed = _any(list(_allowed(field, rule, dialect)))
        conditions.append(f"({changed} AND NOT ({allowed}))" if allowed else changed)
    return conditions


def _transitions_of(model: Any) -> TransitionTable | None:
    return getattr(present.get_model("orders", model.__name__), "TRANSITIONS", None)


def _allowed(field: Any, rule: RowRules, dialect: Dialect) -> Iterator[str]:
    """Return the ways in which a column may change all the same."""
    column = field.column
    if field.name in rule.set_once:
        yield f"OLD.{column} IS NULL"
    if rule.in_force is not None and field.name == rule.in_force.column:
        yield "1 = 1"  # a trigger of its own says to which
    if field.name in rule.counts_up:
        yield f"NEW.{column} = OLD.{column} + 1"
    for status, named in rule.with_status.items():
        if field.name in named:
            yield f"(NEW.status = '{status}' AND OLD.status <> '{status}')"
    yield from _erasures(field, rule, dialect)


def _erasures(field: Any, rule: RowRules, dialect: Dialect) -> Iterator[str]:
    """Return the ways in which a column may change when its row is erased."""
    column = field.column
    for path in rule.erasable:
        name, _, key = path.partition(".")
        if name == field.name:
            yield _replaced(column, {key: ERASED}, dialect) if key else _erased(field, dialect)
    if field.name in rule.erased_inside:
        yield _replaced(column, rule.erased_inside[field.name], dialect)
    if field.name in rule.rewritten_with:
        other = field.model._meta.get_field(rule.rewritten_with[field.name]).column
        yield f"OLD.{other} {dialect.differs} NEW.{other}"


def _erased(field: Any, dialect: Dialect) -> str:
    column = field.column
    if field.null:
        return f"NEW.{column} IS NULL"
    return f"NEW.{column} {dialect.same} '{ERASED}'"


def _replaced(column: str, values: Mapping[str, str | list[str] | bool], dialect: Dialect) -> str:
    """Return the condition that JSON says the same as before but for these values; empty text is none."""
    expected = dialect.read.format(text=f"OLD.{column}")
    for path, value in values.items():
        expected = dialect.put.format(old=expected, path=path, value=json.dumps(value))
    equal = f"{dialect.read.format(text=f'NEW.{column}')} = {expected}"
    return f"(CASE WHEN {_text(column, dialect)} = '' THEN 1 = 0 ELSE {equal} END)"


def _text(column: str, dialect: Dialect) -> str:
    return f"CAST(OLD.{column} AS text)" if dialect is POSTGRES else f"OLD.{column}"


def _changed(model: Any, rule: RowRules, name: str, dialect: Dialect) -> str:
    column = model._meta.get_field(name).column
    # A column that is filled in for the first time is not erased.
    return f"(OLD.{column} {dialect.differs} NEW.{column} AND {_looks_erased(model, rule, name, dialect)})"


def _looks_erased(model: Any, rule: RowRules, name: str, dialect: Dialect) -> str:
    field = model._meta.get_field(name)
    if field.get_internal_type() == "JSONField" or name in rule.erased_inside:
        return "1 = 1"
    return _erased(field, dialect)


def _may_be_erased(model: Any, rule: RowRules) -> str:
    """Return the condition under which a row may be erased: written down, ended, and nothing of it stands."""
    conditions = [_written_down(model)]
    if rule.erased_after:
        conditions.append(f"OLD.status IN ({_listed(rule.erased_after)})")
    column, status = rule.standing_with
    if column:
        table = model._meta.db_table
        same = f"other.{column} = OLD.{column} AND other.status = '{status}'"
        conditions.append(f"NOT EXISTS (SELECT 1 FROM {table} other WHERE {same})")  # noqa: S608 - names are ours
    return _all(*conditions)


def _written_down(model: Any) -> str:
    trail = present.get_model("orders", "AuditEntry")._meta.db_table
    return (
        f"EXISTS (SELECT 1 FROM {trail} WHERE document = '{model._meta.model_name}' AND "  # noqa: S608 - names are ours
        f"document_pk = OLD.{model._meta.pk.column} AND event = '{ERASE}')"
    )


def _off_the_table(transitions: TransitionTable) -> str:
    """Return the condition that the status changes in a way the table does not know."""
    steps = []
    for before, events in transitions.items():
        after = sorted({status for status in events.values() if status != before})
        if after:
            steps.append(f"(OLD.status = '{before}' AND NEW.status IN ({_listed(after)}))")
    return f"(OLD.status <> NEW.status) AND NOT ({_any(steps)})"


def _of_part(model: Any, rule: RowRules) -> Iterator[Trigger]:
    table = model._meta.db_table
    key = model._meta.get_field(rule.part_of)
    for event in ("INSERT", "UPDATE", "DELETE"):
        yield Trigger(
            f"{table}_{event.lower()}",
            table,
            event,
            "",
            f"{rule.name} never changes",
            parent=key.related_model._meta.db_table,
            column=key.column,
        )


def _of_addition(model: Any, rule: RowRules) -> Trigger:
    name, event = rule.added_until
    key = model._meta.get_field(name)
    table = model._meta.db_table
    trail = present.get_model("orders", "AuditEntry")._meta.db_table
    still_open = (
        f"NOT EXISTS (SELECT 1 FROM {trail} WHERE document = '{key.related_model._meta.model_name}' AND "  # noqa: S608
        f"document_pk = NEW.{key.column} AND event = '{event}')"
    )
    if rule.renewed_with:
        still_open = _any([f"({still_open})", f"({renewing(model, rule, 'NEW')})"])
    return Trigger(f"{table}_insert", table, "INSERT", "", f"{rule.name} is never added later", unless=still_open)


def _all(*conditions: str) -> str:
    return " AND ".join(f"({condition})" for condition in conditions if condition)


def _any(conditions: Sequence[str]) -> str:
    return " OR ".join(conditions)


def _listed(values: Sequence[str]) -> str:
    return ", ".join(f"'{value}'" for value in values)


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
    if trigger.unless:
        when = _all(when, f"NOT ({trigger.unless})")
    condition = f"WHEN {when} " if when else ""
    return (
        f"CREATE TRIGGER {trigger.name} BEFORE {trigger.event} ON {trigger.table} FOR EACH ROW {condition}"
        f"BEGIN SELECT RAISE(ABORT, '{trigger.says}'); END"
    )


def _postgres_sql(trigger: Trigger) -> list[str]:
    condition = f"WHEN ({trigger.when}) " if trigger.when else ""
    call = f"coldset_refuse('{trigger.says}')"
    made = []
    if trigger.parent:
        call = f"coldset_refuse_part('{trigger.says}', '{trigger.parent}', '{trigger.column}')"
    if trigger.unless:
        # The condition of a trigger may not look into another table there; a function may.
        call = f"coldset_{trigger.name}()"
        made.append(REFUSE_UNLESS.format(name=trigger.name, unless=trigger.unless, says=trigger.says))
    return [
        *made,
        f"CREATE TRIGGER {trigger.name} BEFORE {trigger.event} ON {trigger.table} FOR EACH ROW {condition}"
        f"EXECUTE FUNCTION {call}",
    ]


def _postgres_truncate(table: str, name: str) -> str:
    # TRUNCATE fires no trigger of rows. SQLite has no such statement: there every row is deleted, and refused.
    return (
        f"CREATE TRIGGER {table}_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT "
        f"EXECUTE FUNCTION coldset_refuse('{name} is never deleted')"
    )
