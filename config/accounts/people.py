"""People who may sign in: added, changed, closed and opened again."""

from datetime import datetime

from django.contrib.auth.models import Group, User
from django.db import transaction
from django.db.models import Q

from catalog.records.versions import existing_unchanged, stored, version_mark
from catalog.web.access import OWNER, ROLES
from config.accounts.errors import LastOwner, NameTaken
from config.accounts.mails import account_mail_ask
from config.accounts.sessions import sessions_end
from config.roles import roles_of
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def person_add(*, username: str, role: str, name: str, email: str, by: str, at: datetime, invite: bool = False) -> User:
    """Add somebody with a role and without a password: the person sets it by a link.

    With ``invite`` the link goes to the address, where there is one.

    Raises NameTaken.
    """
    if User.objects.filter(username__iexact=username).exists():
        raise NameTaken(place="username")
    first, _, last = name.partition(" ")
    user = User(username=username, email=email, first_name=first, last_name=last)
    user.set_unusable_password()
    user.save()
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    audit(user, "person_added", by=by, at=at, params={"role": role})
    if invite and email:
        account_mail_ask("invitation", user, at=at)
    return user


def person_version(user: User) -> str:
    """Return the version of what the owner may change about somebody, as stored."""
    roles = sorted(user.groups.values_list("name", flat=True))
    return version_mark([*stored(user, ("first_name", "last_name", "email", "is_superuser")), roles])


@transaction.atomic(durable=True)
def person_change(*, pk: int, name: str, email: str, role: str, by: str, at: datetime, version: str = "") -> User:
    """Change somebody's name, e-mail address and role; with another role the person signs in anew.

    Raises
    ------
    LastOwner
        If nobody else is an owner and this would be none.
    Overtaken
        If the version is no longer ``version``.
    """
    _owners_locked()
    user = existing_unchanged(User, pk, version, person_version)
    first, _, last = name.partition(" ")
    user.first_name, user.last_name, user.email = first, last, email
    other_role = roles_of(user) != {role}
    if other_role:
        if role != OWNER:
            _not_the_last_owner(user)
            user.is_superuser = False
        user.groups.remove(*Group.objects.filter(name__in=ROLES))
        user.groups.add(Group.objects.get_or_create(name=role)[0])
    user.save(update_fields=["first_name", "last_name", "email", "is_superuser"])
    audit(user, "person_changed", by=by, at=at, params={"role": role})
    if other_role:
        sessions_end(user, by=by, at=at)
    return user


@transaction.atomic(durable=True)
def person_close(*, user: User, by: str, at: datetime) -> None:
    """Let somebody who has left sign in no more, and end all sessions; what stands under the name stays.

    Raises LastOwner.
    """
    _owners_locked()
    _not_the_last_owner(user)
    _active(user, active=False)
    sessions_end(user, by=by, at=at)
    audit(user, "person_closed", by=by, at=at)


@transaction.atomic(durable=True)
def person_open(*, user: User, by: str, at: datetime) -> None:
    """Let somebody sign in again, with the password and the second factor there were."""
    _active(user, active=True)
    audit(user, "person_opened", by=by, at=at)


@transaction.atomic(durable=True)
def person_link_made(*, user: User, by: str, at: datetime) -> None:
    """Note that the owner made a link at which the person sets a password."""
    audit(user, "person_link_made", by=by, at=at)


def _owners_locked() -> None:
    """Let one at a time close or change people: two owners could close each other at once."""
    Group.objects.get_or_create(name=OWNER)
    Group.objects.select_for_update().get(name=OWNER)


def _not_the_last_owner(user: User) -> None:
    owners = User.objects.filter(Q(is_superuser=True) | Q(groups__name=OWNER), is_active=True)
    if OWNER in roles_of(user) and not owners.exclude(pk=user.pk).exists():
        raise LastOwner(place="role")


def _active(user: User, *, active: bool) -> None:
    user.is_active = active
    user.save(update_fields=["is_active"])
