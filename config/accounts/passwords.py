"""A person's password: asked for again, changed, and set anew by a link in a mail."""

from datetime import datetime
from typing import Final

from django.contrib.auth.models import User
from django.db import transaction
from django.views.decorators.debug import sensitive_variables

from catalog.throttle.services import Budget, try_give_back, try_take
from config.accounts.errors import WrongPassword
from config.accounts.mails import account_mail_ask
from config.accounts.sessions import sessions_end
from orders.records.transitions import audit

#: A person's own password, asked for before something that matters.
OWN_PASSWORD: Final = Budget("own-password", free=10)
#: Links asked for: from one address, and for one e-mail address.
ASKED_FROM: Final = Budget("password-link-address", free=10)
ASKED_FOR: Final = Budget("password-link", free=3)


@sensitive_variables("password")
def password_check(*, user: User, password: str, at: datetime) -> None:
    """Pass if this is the person's password.

    Raises
    ------
    WrongPassword
        If it is not.
    TooManyTries
        If that was tried too often.
    """
    counted = OWN_PASSWORD.of(str(user.pk))
    try_take(counted, at=at)
    if not user.check_password(password):
        raise WrongPassword(place="password")
    try_give_back(counted, at=at)


@sensitive_variables("password")
@transaction.atomic(durable=True)
def password_change(*, user: User, password: str, session_key: str | None, at: datetime) -> None:
    """Change the password and end the person's other sessions; the caller renews this one."""
    _set(user, password, "password_changed", at)
    sessions_end(user, keep=session_key, at=at)


@sensitive_variables("password")
@transaction.atomic(durable=True)
def password_set(*, user: User, password: str, at: datetime) -> None:
    """Set the password of somebody who followed the link of a mail, and end all sessions of that person."""
    _set(user, password, "password_set", at)
    sessions_end(user, at=at)


@transaction.atomic(durable=True)
def password_link_ask(*, email: str, at: datetime) -> None:
    """Mail a link to everybody with this e-mail address.

    An address nobody has makes a row too, which mails nothing, so that neither answer nor time tells who is known.
    """
    people: list[User | None] = [*User.objects.filter(email__iexact=email, is_active=True).order_by("pk")]
    for user in people or [None]:
        account_mail_ask("password_link", user, at=at)


def _set(user: User, password: str, event: str, at: datetime) -> None:
    user.set_password(password)
    user.save(update_fields=["password"])
    audit(user, event, by=user.get_username(), at=at)
    if user.email:
        account_mail_ask("password_changed", user, at=at)
