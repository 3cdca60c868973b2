"""Every route of the service, walked from the URLconf, with made-up arguments."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

#: converter -> an argument that fits it and names nothing that exists
ARGUMENTS = {
    "IntConverter": "999999",
    "SlugConverter": "nothing",
    "StringConverter": "nothing",
    "UUIDConverter": "00000000-0000-4000-8000-000000000000",
    "PathConverter": "nothing",
}
#: Route -> names that its slug may be, where these are few and said in the code.
NAMES = {"reminder-text": ["validity"]}
#: An argument of a regular expression, by its name.
NAMED = {"token": "x" * 43}


@dataclass(frozen=True)
class Route:
    """An address, its name and its view."""

    name: str
    path: str
    view: Callable[..., Any]

    @property
    def roles(self) -> frozenset[str]:
        """Return the roles the view is marked with; none when it is not marked."""
        return getattr(self.view, "roles", frozenset())


def _piece(pattern: Any) -> str:
    """Return an address's part with its arguments filled in."""
    converters = {name: ARGUMENTS[type(one).__name__] for name, one in pattern.converters.items()}
    text = str(pattern)
    for name, value in converters.items():
        start = text.index("<")
        end = text.index(">")
        assert name in text[start:end]
        text = text[:start] + value + text[end + 1 :]
    for name, value in NAMED.items():
        start = text.find(f"(?P<{name}>")
        if start >= 0:
            text = text[:start] + value + text[text.index(")", start) + 1 :]
    return text.removeprefix("^").removesuffix("$").removesuffix(r"\Z")


def _walk(resolver: URLResolver, before: str) -> Iterator[Route]:
    for entry in resolver.url_patterns:
        here = before + _piece(entry.pattern)
        if isinstance(entry, URLPattern):
            yield Route(entry.name or "", here, entry.callback)
        else:
            yield from _walk(entry, here)


def routes() -> list[Route]:
    """Return every route."""
    return list(_walk(get_resolver("config.urls"), "/"))


def addresses(route: Route, records: dict[str, list[int]]) -> list[str]:
    """Return the route's addresses for these records: keys by the beginning of the address."""
    unknown = ARGUMENTS["IntConverter"]
    if route.name in NAMES:
        return [route.path.replace(ARGUMENTS["SlugConverter"], name) for name in NAMES[route.name]]
    if unknown not in route.path:
        return [route.path]
    keys = next((keys for start, keys in records.items() if route.path.startswith(start)), [])
    return [route.path.replace(unknown, str(key)) for key in keys]
