"""People who may sign in."""

from datetime import datetime

from django.contrib.auth.models import Group, User
from django.db import transaction

from config.accounts.errors import NameTaken
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
