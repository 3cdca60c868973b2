"""Roles and their pay as the owner reads them."""

from dataclasses import dataclass
from decimal import Decimal

from catalog.rates.models import Role


@dataclass(frozen=True, slots=True)
class RoleRow:
    """A kind of work with what an hour of it costs."""

    role: Role
    cost: Decimal


def role_rows() -> list[RoleRow]:
    """Return the kinds of work with their cost an hour; one query."""
    return [RoleRow(role, role.hourly * (1 + role.on_cost)) for role in Role.objects.all()]
