"""The second factor: codes of an authenticator app (TOTP, RFC 6238), and recovery codes for a lost phone."""

import secrets
from datetime import datetime, timedelta
from typing import Final

import pyotp
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.crypto import constant_time_compare

from catalog.web.access import ROLES
from config.accounts.errors import NoSecondFactor, NothingToConfirm, RoleNeedsSecondFactor, WrongCode
from config.accounts.mails import account_mail_ask
from config.accounts.models import RecoveryCode, RoleRule, SecondFactor
from config.accounts.secrets import decrypted, encrypted
from config.accounts.sessions import sessions_end
from config.roles import roles_of
from orders.records.transitions import audit

#: Steps of 30 seconds before and after the present one whose codes are taken: clocks differ, and typing takes time.
DRIFT: Final = 1
#: A secret that was shown to be scanned and not confirmed is worth nothing after this time.
SET_UP_WITHIN: Final = timedelta(hours=1)
RECOVERY_CODES: Final = 10
#: No letter or digit that is taken for another one.
_CHARACTERS: Final = "abcdefghjkmnpqrstuvwxyz23456789"
#: The first characters find the row; the others, 49 bits, are stored as a password is.
_HINT, _HIDDEN = 2, 10


def second_factor_of(user: User) -> SecondFactor | None:
    """Return the person's confirmed second factor."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).first()


def needs_second_factor(user: User) -> bool:
    """Return whether a role of the person requires one."""
    return RoleRule.objects.filter(role__in=roles_of(user)).exists()


@transaction.atomic(durable=True)
def second_factor_begin(*, user: User, at: datetime) -> None:
    """Make a new secret to scan; one that is in use stays in use until the new one is confirmed."""
    fresh = {"new_secret": encrypted(pyotp.random_base32()), "new_at": at}
    SecondFactor.objects.update_or_create(user=user, defaults=fresh)


def secret_to_scan(user: User, *, at: datetime) -> str:
    """Return the secret that waits for its first code.

    Raises NothingToConfirm if none does.
    """
    return _waiting(user, at)[1]


def second_factor_confirm(*, user: User, code: str, session_key: str | None, at: datetime) -> list[str]:
    """Put the new secret into use by its first code; return the recovery codes, which are stored hashed only.

    The codes are hashed before the transaction: that takes a second, in which nobody else could write on SQLite.

    The person's other sessions end: they were begun without this secret, and one that still has to set up a second
    factor could put another secret in its place by the password alone.

    Raises
    ------
    NothingToConfirm
        If no secret waits.
    WrongCode
        If the code is not one of this minute.
    """
    stored, secret = _waiting(user, at)
    step = step_of(secret, code, at)
    if step is None:
        raise WrongCode(place="code")
    codes, rows = _recovery_codes(user)
    _confirm(user, stored, step, rows, session_key, at)
    return codes


@transaction.atomic(durable=True)
def _confirm(
    user: User, stored: str, step: int, rows: list[RecoveryCode], session_key: str | None, at: datetime
) -> None:
    """Put a secret into use, unless another one took its place meanwhile."""
    confirmed = {"secret": stored, "confirmed_at": at, "last_step": step, "new_secret": "", "new_at": None}
    if not SecondFactor.objects.filter(user=user, new_secret=stored).update(**confirmed):
        raise NothingToConfirm
    audit(user, "second_factor_on", by=user.get_username(), at=at)
    sessions_end(user, keep=session_key, at=at)
    _recovery_codes_replace(user, rows)


@transaction.atomic(durable=True)
def code_spend(*, user: User, code: str, at: datetime) -> bool:
    """Take a code of the app, or a recovery code, which then counts no more; return whether it was a recovery code.

    Raises WrongCode if it is neither, or was taken before.
    """
    text = "".join(character for character in code.casefold() if character.isalnum())
    if len(text) == _HINT + _HIDDEN:
        _spend_recovery_code(user, text, at)
        return True
    factor = second_factor_of(user)
    secret = decrypted(factor.secret) if factor else None
    step = step_of(secret, text, at) if secret else None
    # The condition lets a code in once, although two may bring it at the same moment.
    fresh = SecondFactor.objects.filter(user=user, last_step__lt=step or 0)
    if step is None or not fresh.update(last_step=step):
        raise WrongCode(place="code")
    return False


def recovery_codes_left(user: User) -> int:
    """Return how many recovery codes were not used yet."""
    return RecoveryCode.objects.filter(user=user, used_at=None).count()


def recovery_codes_renew(*, user: User, at: datetime) -> list[str]:
    """Replace the recovery codes; return the new ones, which are hashed before the transaction.

    Raises NoSecondFactor if the person has none.
    """
    codes, rows = _recovery_codes(user)
    _renew(user, rows, at)
    return codes


@transaction.atomic(durable=True)
def _renew(user: User, rows: list[RecoveryCode], at: datetime) -> None:
    if second_factor_of(user) is None:
        raise NoSecondFactor
    audit(user, "recovery_codes_new", by=user.get_username(), at=at)
    _recovery_codes_replace(user, rows)


@transaction.atomic(durable=True)
def second_factor_off(*, user: User, at: datetime) -> None:
    """Sign in by password alone from now on.

    Raises RoleNeedsSecondFactor if a role of the person requires a second factor.
    """
    if needs_second_factor(user):
        raise RoleNeedsSecondFactor
    _remove(user, by=user.get_username(), event="second_factor_off", at=at)


@transaction.atomic(durable=True)
def second_factor_reset(*, user: User, by: str, at: datetime) -> None:
    """Remove the second factor of somebody who lost phone and recovery codes, and end all sessions of that person.

    Raises NoSecondFactor if the person has none.
    """
    if second_factor_of(user) is None:
        raise NoSecondFactor
    _remove(user, by=by, event="second_factor_reset", at=at)
    sessions_end(user, by=by, at=at)
    if user.email:
        account_mail_ask("second_factor_reset", user, at=at)


def people_without(roles: frozenset[str]) -> list[User]:
    """Return the people of these roles who have no second factor."""
    protected = SecondFactor.objects.filter(confirmed_at__isnull=False).values("user")
    people = User.objects.filter(is_active=True).exclude(pk__in=protected).order_by("username")
    return [user for user in people.prefetch_related("groups") if roles_of(user) & roles]


def required_roles() -> frozenset[str]:
    """Return the roles whose people must have a second factor."""
    return frozenset(RoleRule.objects.values_list("role", flat=True)) & frozenset(ROLES)


def _waiting(user: User, at: datetime) -> tuple[str, str]:
    """Return the new secret, as it is stored and as it is typed."""
    factor = SecondFactor.objects.filter(user=user, new_at__gt=at - SET_UP_WITHIN).exclude(new_secret="").first()
    secret = decrypted(factor.new_secret) if factor else None
    if factor is None or secret is None:
        raise NothingToConfirm
    return factor.new_secret, secret


def _remove(user: User, *, by: str, event: str, at: datetime) -> None:
    SecondFactor.objects.filter(user=user).delete()
    RecoveryCode.objects.filter(user=user).delete()
    audit(user, event, by=by, at=at)


def step_of(secret: str, code: str, at: datetime) -> int | None:
    """Return the time step that has this code, among the present one and its neighbors."""
    totp = pyotp.TOTP(secret)
    now = totp.timecode(at)
    text = "".join(code.split())
    near = range(max(now - DRIFT, 0), now + DRIFT + 1)
    return max((step for step in near if constant_time_compare(totp.generate_otp(step), text)), default=None)


def _recovery_codes(user: User) -> tuple[list[str], list[RecoveryCode]]:
    """Return new recovery codes as they are shown, and their rows, which are not stored yet."""
    hints: set[str] = set()
    while len(hints) < RECOVERY_CODES:
        hints.add(_random(_HINT))
    codes = [hint + _random(_HIDDEN) for hint in sorted(hints)]
    rows = [RecoveryCode(user=user, hint=code[:_HINT], code_hash=make_password(code[_HINT:])) for code in codes]
    return ["-".join(code[start : start + 4] for start in range(0, len(code), 4)) for code in codes], rows


def _recovery_codes_replace(user: User, rows: list[RecoveryCode]) -> None:
    RecoveryCode.objects.filter(user=user).delete()
    RecoveryCode.objects.bulk_create(rows)


def _random(length: int) -> str:
    return "".join(secrets.choice(_CHARACTERS) for _ in range(length))


def _spend_recovery_code(user: User, text: str, at: datetime) -> None:
    row = RecoveryCode.objects.filter(user=user, hint=text[:_HINT], used_at=None).first()
    fits = row is not None and check_password(text[_HINT:], row.code_hash)
    if row is None or not fits or not RecoveryCode.objects.filter(pk=row.pk, used_at=None).update(used_at=at):
        raise WrongCode(place="code")
    audit(user, "recovery_code_used", by=user.get_username(), at=at)
