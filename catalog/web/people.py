"""The names of people on a page that says who did something."""

from collections.abc import Mapping

from django.http import HttpRequest

from catalog.records.people import names_of_people


def name_on_page(request: HttpRequest | None, username: str) -> str:
    """Return the name of whoever a record names, read once for each page; what was recorded where nobody is known."""
    if request is None:
        return username
    names: Mapping[str, str] | None = getattr(request, "names_of_people", None)
    if names is None:
        names = names_of_people()
        request.names_of_people = names  # type: ignore[attr-defined]  # for the rest of the page
    return names.get(username, username)
