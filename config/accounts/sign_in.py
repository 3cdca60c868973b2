"""Signing in: name and password, then the code of the second factor, each with a budget of tries."""

import logging
from datetime import datetime
from typing import Final

from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpRequest
from django.views.decorators.debug import sensitive_variables

from catalog.records.errors import TooManyTries
from catalog.throttle.services import Budget, Counted, tries_forget, try_give_back, try_take
from config.accounts.errors import WrongCode
from config.accounts.second_factor import code_spend
from orders.records.transitions import audit

logger = logging.getLogger(__name__)

#: From one address, over all accounts.
FROM_ADDRESS: Final = Budget("sign-in-address", free=20)
#: At one account, over all browsers nobody signed in with before, wherever they are.
AT_ACCOUNT: Final = Budget("sign-in-account", free=5)
#: From one browser that is known to the account.
FROM_DEVICE: Final = Budget("sign-in-device", free=10)
#: Codes of the second factor, by somebody who knows the password: in unknown browsers together, in a known one.
CODE_AT_ACCOUNT: Final = Budget("sign-in-code-account", free=5)
CODE_FROM_DEVICE: Final = Budget("sign-in-code-device", free=10)


@sensitive_variables("password")
def sign_in(
    *, request: HttpRequest, username: str, password: str, address: str, device: str | None, at: datetime
) -> User | None:
    """Return the user when name and password fit, else None.

    A browser that signed in to the account before (``device``) has a budget of its own, so whoever types the name
    elsewhere never locks the person out. Names that do not exist are counted in the same way.

    Raises
    ------
    TooManyTries
        If the browser, the account or the address has used up its tries.
    """
    budgets = _budgets(username, address, device)
    try:
        try_take(*budgets, at=at)
    except TooManyTries:
        logger.warning("sign-in refused: too many tries")
        raise
    user = authenticate(request, username=username, password=password)
    if not isinstance(user, User):
        logger.warning("sign-in refused: name and password do not fit")
        return None
    if device:
        tries_forget(budgets[0])
    else:
        try_give_back(*budgets, at=at)
    return user


@sensitive_variables("code")
def second_step(*, user: User, code: str, device: str | None, at: datetime) -> bool:
    """Take the code of the second factor; return whether it was a recovery code.

    Raises
    ------
    WrongCode
        If it does not fit, or was taken before.
    TooManyTries
        If the browser or the account has used up its tries.
    """
    counted = CODE_FROM_DEVICE.of(f"{user.pk} {device}") if device else CODE_AT_ACCOUNT.of(str(user.pk))
    try_take(counted, at=at)
    try:
        recovery = code_spend(user=user, code=code, at=at)
    except WrongCode:
        logger.warning("sign-in refused: wrong code of the second factor, user %s", user.pk)
        raise
    tries_forget(counted)
    return recovery


@transaction.atomic(durable=True)
def signed_in(*, user: User, at: datetime) -> None:
    """Note that the person signed in."""
    audit(user, "signed_in", by=user.get_username(), at=at)


def _budgets(username: str, address: str, device: str | None) -> tuple[Counted, ...]:
    name = username.casefold()
    if device:
        return (FROM_DEVICE.of(f"{name} {device}"),)
    return (FROM_ADDRESS.of(address), AT_ACCOUNT.of(name))
