"""Links at which somebody the owner added sets a password: for a week, and once.

Django's own tokens for a forgotten password share one lifetime, which is an hour here; an invitation may lie over a
weekend. The link is signed, and stored nowhere.
"""

from datetime import timedelta
from typing import Any, Final

from django.conf import settings
from django.contrib.auth.models import User
from django.core.signing import BadSignature, TimestampSigner
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

WITHIN: Final = timedelta(days=7)
_SALT: Final = "config.accounts.invitations"


class InvitationTokens:
    """Makes and checks tokens as Django's view of a new password wants them; one ends once a password is set."""

    def make_token(self, user: Any) -> str:
        """Return a token for the person."""
        return _signer().sign(_mark(user))

    def check_token(self, user: Any, token: str | None) -> bool:
        """Return whether the token was made here for this person, within a week, and not used."""
        if user is None or not token or not user.is_active:
            return False
        try:
            return constant_time_compare(_signer().unsign(token, max_age=WITHIN), _mark(user))
        except BadSignature:
            return False


invitation_tokens: Final[Any] = InvitationTokens()


def invitation_link(user: User) -> str:
    """Return the address at which the person sets a password."""
    person = urlsafe_base64_encode(force_bytes(user.pk))
    return f"{settings.SITE_URL}{reverse('invitation', args=[person, invitation_tokens.make_token(user)])}"


def _signer() -> TimestampSigner:
    return TimestampSigner(salt=_SALT, sep=".")


def _mark(user: Any) -> str:
    seen = user.last_login.isoformat() if user.last_login else ""
    return salted_hmac(_SALT, f"{user.pk} {user.password} {seen}").hexdigest()[:32]
