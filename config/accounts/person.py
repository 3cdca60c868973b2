"""The person of a request whose view is open to people with a role alone."""

from typing import cast

from django.contrib.auth.models import User
from django.http import HttpRequest


def person(request: HttpRequest) -> User:
    """Return who is signed in; the access middleware has let nobody else through."""
    return cast(User, request.user)
