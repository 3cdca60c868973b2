"""The PostgreSQL role the application works under: what it may do follows from what may happen to each table's rows.

It owns nothing and changes no structure: migrations run as the owner. Where rows are never deleted or changed
(``orders.records.row_rules``) it has no right to, so that even a statement that got past the triggers is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from django.apps import apps
from django.db import connection, transaction
from psycopg import sql

from orders.records.immutable_rows import rules
from orders.records.row_rules import RowRules

#: Tables that migrations alone write.
READ_ONLY: Final = ("django_migrations", "django_content_type", "auth_permission")


#: What the role is, and where PostgreSQL says whether it is so.
ATTRIBUTES: Final = {
    "LOGIN": ("rolcanlogin", True),
    "NOSUPERUSER": ("rolsuper", False),
    "NOCREATEDB": ("rolcreatedb", False),
    "NOCREATEROLE": ("rolcreaterole", False),
    "NOREPLICATION": ("rolreplication", False),
    "NOBYPASSRLS": ("rolbypassrls", False),
    "NOINHERIT": ("rolinherit", False),
}


class RoleRefused(Exception):
    """The role cannot be the application's; the text is the sentence for the command line."""


@dataclass(frozen=True, slots=True)
class Rights:
    """What a role may do with one table; with ``columns`` it may update these alone."""

    table: str
    insert: bool = True
    update: bool = True
    delete: bool = True
    columns: tuple[str, ...] = ()


def rights() -> Iterator[Rights]:
    """Return the rights on every table of the project, from the tables' own rules."""
    guarded = dict(rules())
    for model in apps.get_models(include_auto_created=True):
        table = model._meta.db_table
        if table not in READ_ONLY:
            yield _guarded(model, guarded[model]) if model in guarded else Rights(table)


def _guarded(model: type[Any], rule: RowRules) -> Rights:
    table = model._meta.db_table
    if rule.drafts or rule.part_of:
        return Rights(table)  # drafts: the triggers tell them from what was sent
    changing = {*rule.changing, *(["status"] if hasattr(model, "TRANSITIONS") else [])}
    columns = tuple(model._meta.get_field(name).column for name in sorted(changing))
    return Rights(table, update=bool(columns), delete=rule.may_be_deleted, columns=columns)


def role_make(*, name: str, password: str) -> bool:
    """Make the role, or bring its rights up to date; return whether it is new.

    Everything is done in one transaction, as the owner of the tables. Without a password an existing one stays.

    Raises
    ------
    RoleRefused
        If the database is not PostgreSQL, or the role is the owner, a superuser, or owns something.
    """
    if connection.vendor != "postgresql":
        raise RoleRefused("Only PostgreSQL has roles: with SQLite whoever can open the file can write to it.")
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [name])
        new = cursor.fetchone() is None
        if not new:
            _refuse_owner(cursor, name)
        for statement in _statements(cursor, name, password, new=new):
            cursor.execute(statement)
    return new


def _refuse_owner(cursor: Any, name: str) -> None:
    cursor.execute("SELECT current_user = %s, rolsuper FROM pg_roles WHERE rolname = %s", [name, name])
    me, superuser = cursor.fetchone()
    if me or superuser:
        raise RoleRefused(
            f"{name} is the role that owns the tables, or a superuser: choose another name. Run this as the owner, "
            "and let the application sign in under the new role."
        )
    cursor.execute(
        "SELECT COUNT(*) FROM pg_shdepend WHERE refclassid = 'pg_authid'::regclass AND deptype = 'o'"
        " AND refobjid = (SELECT oid FROM pg_roles WHERE rolname = %s)",
        [name],
    )
    if cursor.fetchone()[0]:
        raise RoleRefused(f"{name} owns something in the database: give that to another role first.")
    cursor.execute(
        "SELECT string_agg(g.rolname, ', ') FROM pg_auth_members m JOIN pg_roles g ON g.oid = m.roleid"
        " JOIN pg_roles r ON r.oid = m.member WHERE r.rolname = %s",
        [name],
    )
    (groups,) = cursor.fetchone()
    if groups:
        raise RoleRefused(f"{name} is a member of {groups} and has their rights too: take it out of there first.")


def _statements(cursor: Any, name: str, password: str, *, new: bool) -> Iterator[sql.Composed]:
    role = sql.Identifier(name)
    attributes = tuple(ATTRIBUTES) if new else _attributes_to_change(cursor, name)
    if attributes:
        make = "CREATE ROLE {} WITH {}" if new else "ALTER ROLE {} WITH {}"
        yield sql.SQL(make).format(role, sql.SQL(" ").join(map(sql.SQL, attributes)))
    if password:
        yield sql.SQL("ALTER ROLE {} PASSWORD {}").format(role, sql.Literal(_hashed(cursor, name, password)))
    yield from _around(role)
    for table in _present(cursor, READ_ONLY):
        yield sql.SQL("GRANT SELECT ON {} TO {}").format(sql.Identifier(table), role)
    granted = {right.table: right for right in rights()}
    for table in _present(cursor, tuple(granted)):
        yield _grant(granted[table], role)


def _attributes_to_change(cursor: Any, name: str) -> tuple[str, ...]:
    """Return what an existing role lacks. An owner who is no superuser may not even name what is right already."""
    columns = sql.SQL(", ").join(map(sql.Identifier, (column for column, _ in ATTRIBUTES.values())))
    cursor.execute(sql.SQL("SELECT {} FROM pg_roles WHERE rolname = %s").format(columns), [name])
    found = zip(ATTRIBUTES.items(), cursor.fetchone(), strict=True)
    return tuple(attribute for (attribute, (_, wanted)), now in found if now != wanted)


def _around(role: sql.Identifier) -> Iterator[sql.Composed]:
    """Take back whatever it had, and give what does not depend on a table."""
    database = sql.Identifier(connection.settings_dict["NAME"])
    for what in ("ALL TABLES", "ALL SEQUENCES", "ALL FUNCTIONS"):
        yield sql.SQL("REVOKE ALL ON {} IN SCHEMA public FROM {}").format(sql.SQL(what), role)
    yield sql.SQL("REVOKE ALL ON SCHEMA public FROM {}").format(role)
    yield sql.SQL("REVOKE CREATE ON SCHEMA public FROM PUBLIC").format()
    # What everybody may do by default: temporary tables are structure too.
    yield sql.SQL("REVOKE CREATE, TEMPORARY ON DATABASE {} FROM PUBLIC").format(database)
    yield sql.SQL("REVOKE ALL ON DATABASE {} FROM {}").format(database, role)
    yield sql.SQL("GRANT CONNECT ON DATABASE {} TO {}").format(database, role)
    yield sql.SQL("GRANT USAGE ON SCHEMA public TO {}").format(role)
    yield sql.SQL("GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {}").format(role)
    # A table that a later migration makes can be read and added to until this command has run again.
    yield sql.SQL("ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT SELECT, INSERT ON TABLES TO {}").format(role)
    yield sql.SQL("ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT USAGE, SELECT ON SEQUENCES TO {}").format(role)


def _grant(right: Rights, role: sql.Identifier) -> sql.Composed:
    allowed = [sql.SQL("SELECT")]
    allowed += [sql.SQL(word) for word in ("INSERT", "DELETE") if getattr(right, word.lower())]
    columns = sql.SQL(", ").join(map(sql.Identifier, right.columns))
    grants = sql.SQL(", ").join(allowed)
    if right.update:
        update = sql.SQL("UPDATE ({})").format(columns) if right.columns else sql.SQL("UPDATE")
        grants = sql.SQL("{}, {}").format(grants, update)
    return sql.SQL("GRANT {} ON {} TO {}").format(grants, sql.Identifier(right.table), role)


def _present(cursor: Any, names: tuple[str, ...]) -> list[str]:
    cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename = ANY(%s)", [list(names)])
    return [table for (table,) in cursor.fetchall()]


def _hashed(cursor: Any, name: str, password: str) -> str:
    """Hash the password here, so that it stands in no log of the server."""
    hashed: bytes = cursor.connection.pgconn.encrypt_password(password.encode(), name.encode(), b"scram-sha-256")
    return hashed.decode()
