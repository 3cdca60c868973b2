"""The people who sign in, as the owner's pages show them."""

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from catalog.records.people import person_name
from catalog.web.access import ROLES
from catalog.web.display import joined
from config.accounts.models import SecondFactor
from config.accounts.role_words import role_word
from config.roles import roles_of


@dataclass(frozen=True, slots=True)
class PersonShown:
    """Somebody who may sign in or could once; ``invited`` who has set no password yet."""

    pk: int
    name: str
    username: str
    email: str
    roles: str
    two_step: bool
    active: bool
    invited: bool
    last_in: datetime | None


def people_shown() -> list[PersonShown]:
    """List everybody, those who may sign in first."""
    people = User.objects.prefetch_related("groups").order_by("-is_active", "username")
    protected = set(SecondFactor.objects.filter(confirmed_at__isnull=False).values_list("user_id", flat=True))
    return [person_shown(user, two_step=user.pk in protected) for user in people]


def person_shown(user: User, *, two_step: bool) -> PersonShown:
    """Return one of them."""
    return PersonShown(
        pk=user.pk,
        name=person_name(user),
        username=user.get_username(),
        email=user.email,
        roles=joined([role_word(role) for role in ROLES if role in roles_of(user)]),
        two_step=two_step,
        active=user.is_active,
        invited=not user.has_usable_password(),
        last_in=user.last_login,
    )
