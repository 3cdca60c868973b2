"""People for the tests of accounts, and what their phones show."""

from datetime import UTC, datetime

import pyotp
from django.contrib.auth.models import Group, User

from catalog.web.access import OWNER
from config.accounts.models import SecondFactor
from config.accounts.second_factor import second_factor_begin, second_factor_confirm, secret_to_scan
from config.accounts.secrets import decrypted

PASSWORD = "seven plums on a tray"
NOW = datetime(2027, 2, 1, 9, tzinfo=UTC)


def person_make(name: str = "ida", role: str = OWNER, **columns: str) -> User:
    """Make somebody who can sign in."""
    user = User.objects.create_user(name, password=PASSWORD, **columns)
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


def phone_code(user: User, at: datetime) -> str:
    """Return what the person's app shows."""
    secret = decrypted(SecondFactor.objects.get(user=user).secret)
    assert secret
    return pyotp.TOTP(secret).at(at)


def second_factor_make(user: User, *, at: datetime = NOW) -> list[str]:
    """Set the second factor up; return the recovery codes."""
    second_factor_begin(user=user, at=at)
    code = pyotp.TOTP(secret_to_scan(user, at=at)).at(at)
    return second_factor_confirm(user=user, code=code, at=at)
