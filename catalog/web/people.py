"""What the people who sign in are called on pages that say who did something."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpRequest


def person_name(user: Any) -> str:
    """Return the person's name; the user name where none was given."""
    return str(user.get_full_name() or user.get_username())


def names_of_people() -> Mapping[str, str]:
    """Return the name of everybody who signs in or has signed in, by user name."""
    people = User.objects.only("username", "first_name", "last_name")
    return {person.get_username(): person_name(person) for person in people}


def name_on_page(request: HttpRequest | None, username: str) -> str:
    """Return the name of whoever a record names, read once for each page; what was recorded where nobody is known."""
    if request is None:
        return username
    names: Mapping[str, str] | None = getattr(request, "names_of_people", None)
    if names is None:
        names = names_of_people()
        request.names_of_people = names  # type: ignore[attr-defined]  # kept for the rest of the page
    return names.get(username, username)
