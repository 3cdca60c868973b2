"""Users of a row: rows of any app with a protecting foreign key to it."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models

from catalog.records.reasons import Reason

#: The kitchen's own row refers to the role and tax of delivery, and to the tax of what is kept of canceled orders.
KITCHEN = "catalog.Kitchen"


def pointing_fields(model: type[models.Model]) -> Iterator[models.ForeignKey[Any, Any]]:
    """Yield every foreign key of any app that protects rows of this model."""
    for relation in model._meta.get_fields(include_hidden=True):
        if isinstance(relation, models.ManyToOneRel) and relation.on_delete in (models.PROTECT, models.RESTRICT):
            field = relation.field
            if isinstance(field, models.ForeignKey):
                yield field


def protected(model: type[models.Model], pks: Iterable[int]) -> set[int]:
    """Return which of these rows something else still needs; one query for each kind of user."""
    wanted = set(pks)
    found: set[int] = set()
    for field in pointing_fields(model) if wanted else ():
        rows = field.model._base_manager.filter(**{f"{field.name}__isnull": False})
        found |= wanted & set(rows.values_list(field.attname, flat=True).distinct())
    return found


def users_of(row: models.Model) -> list[Reason]:
    """Return what needs a row, such as the product Lemon tart, each once; empty if nothing does."""
    users: list[Reason] = []
    for field in pointing_fields(type(row)):
        for user in field.model._base_manager.filter(**{field.name: row}):
            users.append(_named(user, field.name))
    return list(dict.fromkeys(users))


def _named(user: models.Model, field: str) -> Reason:
    """Return the name of a user; a line, step or fill is named by its owner, the kitchen's row by what needs it."""
    if user._meta.label == KITCHEN:
        return Reason("cancellation_charge" if field == "cancellation_tax" else "delivery")
    for name in ("recipe", "product", "ingredient", "quote", "order", "inquiry"):
        owner = getattr(user, name, None) if name in {field.name for field in user._meta.fields} else None
        if isinstance(owner, models.Model):
            return _user(owner)
    return _user(user)


def _user(row: models.Model) -> Reason:
    return Reason("user", {"kind": str(row._meta.verbose_name), "name": str(row)})
