"""Mails to the people who sign in: written when they are sent, so that a link's token is stored nowhere."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, Final

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.tokens import PasswordResetTokenGenerator, default_token_generator
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.records.people import person_name
from config.accounts.invitations import invitation_link
from config.accounts.models import NewEmail
from orders.mail.services import Mail, mail_address, mail_ask

KIND: Final = "account_mail"
#: A mail that waited for longer is not sent: whoever still wants a link asks again.
NOT_LATER_THAN: Final = timedelta(hours=6)

#: Kind of mail -> its subject, and what the owner's list of mails calls it.
MAILS: Final[Mapping[str, tuple[str, str]]] = {
    "password_link": (marked("Set a new password at {kitchen}"), marked("link to set a new password")),
    "invitation": (marked("Sign in to {kitchen}"), marked("invitation to sign in")),
    "password_changed": (marked("Your password at {kitchen} was changed"), marked("password changed")),
    "email_confirm": (marked("Confirm your e-mail address at {kitchen}"), marked("link to confirm an e-mail address")),
    "email_asked": (marked("A new e-mail address for you at {kitchen}"), marked("new e-mail address asked for")),
    "email_changed": (marked("Your e-mail address at {kitchen} was changed"), marked("e-mail address changed")),
    "second_factor_reset": (marked("Your two-step sign-in at {kitchen} was reset"), marked("two-step sign-in reset")),
}


def account_mail_ask(mail: str, user: User | None, *, at: datetime, to: str = "") -> None:
    """Request a mail in the caller's transaction; without a person the row mails nothing."""
    payload = {"mail": mail, "user": user.pk if user else None, "to": to}
    about = f"user:{user.pk}" if user else ""
    name = person_name(user) if user else gettext("an unknown address")
    mail_ask(kind=KIND, payload=payload, about=about, to=name, what=gettext(MAILS[mail][1]), at=at)


def account_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail | None:
    """Write the mail; None when there is nobody to write to, or it waited for too long.

    Raises NoAddress if there is no address to write to.
    """
    user = User.objects.filter(pk=row.payload["user"], is_active=True).first()
    if user is None or at - row.created_at > NOT_LATER_THAN:
        return None
    name, to = row.payload["mail"], row.payload["to"]
    new = NewEmail.objects.filter(user=user, email=to).first()
    if name == "email_confirm" and new is None:
        return None
    who = person_name(user)
    return Mail(
        about=user,
        to=mail_address(to or user.email, who=who),
        reply_to=kitchen.email,
        thread=f"account-{user.pk}",
        subject=gettext(MAILS[name][0]).format(kitchen=kitchen.name),
        template=f"accounts/mail/{name}",
        facts={
            "kitchen": kitchen,
            "person": user,
            "who": who,
            "link": _link(name, user, new),
            "at": row.created_at,
        },
        params={"mail": name},
    )


class EmailTokens(PasswordResetTokenGenerator):
    """Makes the tokens of links that confirm an address: nothing is stored, and each ends with what it is about."""

    key_salt = "config.accounts.mails.EmailTokens"

    def _make_hash_value(self, user: Any, timestamp: int) -> str:
        new: NewEmail = user
        person = new.user
        return f"{person.pk}{person.password}{person.email}{new.email}{new.asked_at.isoformat()}{timestamp}"


#: Django says "user" for what a token is about.
email_tokens: Final[Any] = EmailTokens()


def _link(mail: str, user: User, new: NewEmail | None) -> str:
    if mail == "email_confirm" and new is not None:
        person = urlsafe_base64_encode(force_bytes(user.pk))
        return f"{settings.SITE_URL}{reverse('email-confirm', args=[person, email_tokens.make_token(new)])}"
    if mail == "invitation":
        return invitation_link(user)
    return password_link(user) if mail == "password_link" else ""


def password_link(user: User) -> str:
    """Return an address at which the person sets a password: for an hour, and once."""
    person = urlsafe_base64_encode(force_bytes(user.pk))
    token = default_token_generator.make_token(user)
    return f"{settings.SITE_URL}{reverse('password-set', args=[person, token])}"
