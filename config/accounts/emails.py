"""A new e-mail address: asked for by whoever is signed in, in use once a link in a mail to it was followed."""

from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.encoding import force_str
from django.utils.http import urlsafe_base64_decode

from catalog.throttle.services import Budget, try_take
from config.accounts.errors import LinkUsedUp
from config.accounts.mails import account_mail_ask, email_tokens
from config.accounts.models import NewEmail
from orders.records.transitions import audit

#: How long a new address waits for its link to be followed.
CONFIRMED_WITHIN: Final = timedelta(seconds=settings.PASSWORD_RESET_TIMEOUT)
#: Mails to new addresses that one person may ask for.
ASKED: Final = Budget("new-email", free=5)


def new_email_of(user: User, *, at: datetime) -> str:
    """Return the address that waits to be confirmed; empty when none does."""
    row = NewEmail.objects.filter(user=user, asked_at__gt=at - CONFIRMED_WITHIN).first()
    return row.email if row else ""


def email_ask(*, user: User, email: str, at: datetime) -> bool:
    """Mail a link to the new address and a notice to the one in use, which stays until the link is followed.

    The address in use lets go of one that waits. Return whether a link is on its way.

    Raises TooManyTries.
    """
    if email != user.email:
        try_take(ASKED.of(str(user.pk)), at=at)
    return _ask(user, email, at)


@transaction.atomic(durable=True)
def _ask(user: User, email: str, at: datetime) -> bool:
    NewEmail.objects.filter(user=user).delete()
    if email == user.email:
        return False
    NewEmail.objects.create(user=user, email=email, asked_at=at)
    audit(user, "email_asked", by=user.get_username(), at=at)
    account_mail_ask("email_confirm", user, to=email, at=at)
    if user.email:
        account_mail_ask("email_asked", user, to=user.email, at=at)
    return True


def email_link_of(person: str, token: str, *, at: datetime) -> NewEmail | None:
    """Return the address a link confirms; None if it is wrong, over, or was used."""
    try:
        pk = int(force_str(urlsafe_base64_decode(person)))
        row = NewEmail.objects.select_related("user").filter(user_id=pk, user__is_active=True).first()
    except (ValueError, OverflowError):
        return None
    if row is None or row.asked_at <= at - CONFIRMED_WITHIN or not email_tokens.check_token(row, token):
        return None
    return row


@transaction.atomic(durable=True)
def email_confirm(*, person: str, token: str, at: datetime) -> User:
    """Use the new address from now on, and tell the old one.

    Raises
    ------
    LinkUsedUp
        If the link is wrong, over, or was used.
    """
    row = email_link_of(person, token, at=at)
    # Of two that follow the link at once one deletes the row.
    if row is None or not NewEmail.objects.filter(pk=row.pk, email=row.email, asked_at=row.asked_at).delete()[0]:
        raise LinkUsedUp
    user = row.user
    before, user.email = user.email, row.email
    user.save(update_fields=["email"])
    audit(user, "email_changed", by=user.get_username(), at=at)
    if before:
        account_mail_ask("email_changed", user, to=before, at=at)
    return user


def new_emails_clear(*, at: datetime) -> int:
    """Delete addresses whose link is over; return how many."""
    return NewEmail.objects.filter(asked_at__lte=at - CONFIRMED_WITHIN).delete()[0]
