"""The first owner: added once, at the page of a link that only whoever started the service can read.

The link is signed and stored nowhere. It works for a day, and no longer than until an owner exists.
"""

from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.signing import BadSignature, TimestampSigner
from django.db import transaction
from django.db.models import Q
from django.urls import reverse
from django.views.decorators.debug import sensitive_variables

from catalog.web.access import OWNER
from config.accounts.errors import NameTaken, OwnerExists
from orders.records.transitions import audit

WITHIN: Final = timedelta(days=1)
_WHAT: Final = "owner"


def an_owner_exists() -> bool:
    """Return whether somebody is or was an owner."""
    return User.objects.filter(Q(is_superuser=True) | Q(groups__name=OWNER)).exists()


def set_up_link() -> str:
    """Return the address at which the first owner is added; without a signing key ImproperlyConfigured is raised."""
    return f"{settings.SITE_URL}{reverse('set-up', args=[_signer().sign(_WHAT)])}"


def set_up_link_works(token: str) -> bool:
    """Return whether the link was made here, within a day, and no owner exists."""
    try:
        return _signer().unsign(token, max_age=WITHIN) == _WHAT and not an_owner_exists()
    except BadSignature:
        return False


@sensitive_variables("password")
@transaction.atomic(durable=True)
def first_owner_add(*, username: str, name: str, password: str, at: datetime) -> User:
    """Add the first owner.

    Raises
    ------
    OwnerExists
        If there is one: of two who use the link at once one gets this.
    NameTaken
        If somebody else has the user name.
    """
    Group.objects.get_or_create(name=OWNER)
    group = Group.objects.select_for_update().get(name=OWNER)
    if an_owner_exists():
        raise OwnerExists
    if User.objects.filter(username__iexact=username).exists():
        raise NameTaken(place="username")
    first, _, last = name.partition(" ")
    user = User(username=username, first_name=first, last_name=last)
    user.set_password(password)
    user.save()
    user.groups.add(group)
    audit(user, "person_added", by=username, at=at, params={"role": OWNER})
    return user


def _signer() -> TimestampSigner:
    return TimestampSigner(salt="config.accounts.first_owner", sep=".")
