"""What the people are called who sign in: records hold their user names."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User


def person_name(user: Any) -> str:
    """Return the person's name; the user name where none was given."""
    return str(user.get_full_name() or user.get_username())


def names_of_people() -> Mapping[str, str]:
    """Return the name of everybody who signs in or has signed in, by user name."""
    people = User.objects.only("username", "first_name", "last_name")
    return {person.get_username(): person_name(person) for person in people}
