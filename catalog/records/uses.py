"""Who uses a row: the rows of any app that point to it and would not let it go."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models

from catalog.kitchen.models import Kitchen

#: How many users a sentence names before it counts the rest.
NAMED = 5


def pointing_fields(model: type[models.Model]) -> Iterator[models.ForeignKey[Any, Any]]:
    """Yield every foreign key, of any app, that protects rows of this model."""
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


def users_of(row: models.Model) -> list[str]:
    """Name what needs a row, such as “the product Lemon tart”; empty when nothing does."""
    users: dict[str, None] = {}
    for field in pointing_fields(type(row)):
        for user in field.model._base_manager.filter(**{field.name: row}):
            users[_named(user)] = None
    return list(users)


def users_in_words(row: models.Model) -> str:
    """Write what needs a row as a part of a sentence; empty when nothing does."""
    users = users_of(row)
    more = f" and {len(users) - NAMED} more" if len(users) > NAMED else ""
    return ", ".join(users[:NAMED]) + more


def _named(user: models.Model) -> str:
    """A line, step or fill is known by what it belongs to; the kitchen itself names it for delivery."""
    if isinstance(user, Kitchen):
        return "delivery"
    for name in ("recipe", "product", "ingredient", "quote", "order", "inquiry"):
        owner = getattr(user, name, None) if name in {field.name for field in user._meta.fields} else None
        if isinstance(owner, models.Model):
            return f"the {owner._meta.verbose_name} {owner}"
    return f"the {user._meta.verbose_name} {user}"
