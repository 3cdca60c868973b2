"""Conditions of triggers: what is in force of a document changes to an approved amendment of it, its parts with it."""

from typing import Any

from django.apps import apps as present

from orders.records.row_rules import InForce, RowRules


def names_back(model: Any, rule: InForce | None) -> bool:
    """Return whether the document that a key leads to has the column by now that names the row back."""
    if rule is None:
        return False
    other = model._meta.get_field(rule.column).related_model
    return any(field.name == rule.back for field in other._meta.concrete_fields)


def renewable(model: Any, key: str) -> bool:
    """Return whether the parts of the document that a key leads to can be renewed by now."""
    if not key:
        return False
    whole = model._meta.get_field(key).related_model
    return names_back(whole, present.get_model("orders", whole.__name__).ROWS.in_force)


def may_follow(model: Any, rule: InForce) -> str:
    """Return the condition that a row's key leads to a document that names the row back, in its status."""
    key = model._meta.get_field(rule.column)
    table, back = key.related_model._meta.db_table, key.related_model._meta.get_field(rule.back).column
    return (
        f"EXISTS (SELECT 1 FROM {table} later WHERE later.id = NEW.{key.column} AND "  # noqa: S608 - names are ours
        f"later.{back} = NEW.id AND later.status = '{rule.status}')"
    )


def renewing(model: Any, rule: RowRules, row: str) -> str:
    """Return the condition that the later document in force has its status, and the key is not changed to it yet."""
    owner = model._meta.get_field(rule.renewed_with)
    whole = owner.related_model
    follows: InForce = present.get_model("orders", whole.__name__).ROWS.in_force
    key = whole._meta.get_field(follows.column)
    table, back = key.related_model._meta.db_table, key.related_model._meta.get_field(follows.back).column
    return (
        f"EXISTS (SELECT 1 FROM {table} later JOIN {whole._meta.db_table} whole ON later.{back} = whole.id "  # noqa: S608
        f"WHERE whole.id = {row}.{owner.column} AND later.status = '{follows.status}' "
        f"AND later.id <> whole.{key.column})"
    )
