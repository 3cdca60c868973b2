"""The first step of signing in: name and password, with a budget of tries."""

import logging
from datetime import datetime
from typing import Final

from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.http import HttpRequest
from django.views.decorators.debug import sensitive_variables

from catalog.records.errors import TooManyTries
from catalog.throttle.services import Budget, Counted, tries_forget, try_give_back, try_take

logger = logging.getLogger(__name__)

#: From one address, over all accounts.
FROM_ADDRESS: Final = Budget("sign-in-address", free=20)
#: At one account, over all browsers nobody signed in with before, wherever they are.
AT_ACCOUNT: Final = Budget("sign-in-account", free=5)
#: From one browser that is known to the account.
FROM_DEVICE: Final = Budget("sign-in-device", free=10)


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


def _budgets(username: str, address: str, device: str | None) -> tuple[Counted, ...]:
    name = username.casefold()
    if device:
        return (FROM_DEVICE.of(f"{name} {device}"),)
    return (FROM_ADDRESS.of(address), AT_ACCOUNT.of(name))
