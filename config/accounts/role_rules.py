"""Which roles must have a second factor: the owner says so."""

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from config.accounts.errors import OwnSecondFactorFirst
from config.accounts.models import RoleRule
from config.accounts.second_factor import people_without, required_roles, second_factor_of
from config.accounts.sessions import sessions_end
from config.roles import roles_of
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def role_rules_set(*, roles: frozenset[str], by: User, at: datetime) -> int:
    """Require a second factor for exactly these roles.

    People of a role that is new among them and who have none are signed out: they set it up when they sign in next.
    Return how many.

    Raises OwnSecondFactorFirst if the one who asks is in such a role and has none.
    """
    fresh = roles - required_roles()
    if fresh & roles_of(by) and second_factor_of(by) is None:
        raise OwnSecondFactorFirst(place="roles")
    RoleRule.objects.exclude(role__in=roles).delete()
    RoleRule.objects.bulk_create([RoleRule(role=role) for role in sorted(fresh)], ignore_conflicts=True)
    audit(by, "role_rules_set", by=by.get_username(), at=at, params={"roles": sorted(roles)})
    people = people_without(fresh) if fresh else []
    for user in people:
        sessions_end(user, by=by.get_username(), at=at)
    return len(people)
