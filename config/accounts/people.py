"""People who may sign in."""

from datetime import datetime

from django.contrib.auth.models import Group, User
from django.db import transaction

from config.accounts.errors import NameTaken
from config.accounts.sessions import sessions_end
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def person_add(*, username: str, role: str, name: str, email: str, by: str, at: datetime) -> User:
    """Add somebody with a role and without a password: the person sets it by a link.

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
    return user


@transaction.atomic(durable=True)
def person_close(*, user: User, by: str, at: datetime) -> None:
    """Let somebody who has left sign in no more, and end all sessions; what stands under the name stays."""
    _active(user, active=False)
    sessions_end(user, by=by, at=at)
    audit(user, "person_closed", by=by, at=at)


@transaction.atomic(durable=True)
def person_open(*, user: User, by: str, at: datetime) -> None:
    """Let somebody sign in again, with the password and the second factor there were."""
    _active(user, active=True)
    audit(user, "person_opened", by=by, at=at)


def _active(user: User, *, active: bool) -> None:
    user.is_active = active
    user.save(update_fields=["is_active"])
