"""Where one can go: the main navigation and what lies below it, by role.

An entry whose address does not exist (or that the user may not open) is left out.
"""

from collections.abc import Set
from dataclasses import dataclass, field
from typing import Final

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from catalog.access import BOOKKEEPER, KITCHEN, OWNER


@dataclass(frozen=True, slots=True)
class Place:
    """An entry of the navigation: the name of its address, its label, who may go there, what lies below."""

    name: str
    label: str
    roles: frozenset[str]
    below: tuple["Place", ...] = ()


@dataclass(frozen=True, slots=True)
class Link:
    """An entry as the page writes it."""

    url: str
    label: str
    current: bool
    exact: bool


@dataclass(frozen=True, slots=True)
class Navigation:
    """All that the page's head needs."""

    home: str = ""
    section: str = ""
    items: tuple[Link, ...] = ()
    below: tuple[Link, ...] = field(default=())


_ALL: Final = frozenset({OWNER, KITCHEN, BOOKKEEPER})
_OWNER: Final = frozenset({OWNER})
_MAKERS: Final = frozenset({OWNER, KITCHEN})
_BOOKS: Final = frozenset({OWNER, BOOKKEEPER})

PLACES: Final = (
    Place("day", "The day", _ALL),
    Place("enquiries", "Enquiries", _OWNER),
    Place("orders", "Orders", _ALL),
    Place("sheets", "Sheets", _MAKERS),
    Place(
        "money-register",
        "Money",
        _BOOKS,
        (
            Place("money-register", "Register", _BOOKS),
            Place("money-due", "Money due", _BOOKS),
            Place("money-payments", "Payments", _BOOKS),
            Place("money-exports", "Exports", _BOOKS),
        ),
    ),
    Place(
        "catalogue",
        "Catalogue",
        _MAKERS,
        (
            Place("ingredients", "Ingredients", _MAKERS),
            Place("recipes", "Recipes", _MAKERS),
            Place("products", "Products", _MAKERS),
            Place("moulds", "Moulds", _MAKERS),
            Place("suppliers", "Suppliers", _MAKERS),
            Place("price-lists", "Price lists", _OWNER),
        ),
    ),
    Place(
        "kitchen-profile",
        "Kitchen",
        _OWNER,
        (
            Place("kitchen-profile", "Profile", _OWNER),
            Place("kitchen-hours", "Hours", _OWNER),
            Place("kitchen-people", "Labour", _OWNER),
            Place("kitchen-stations", "Stations", _OWNER),
            Place("kitchen-overhead", "Overhead", _OWNER),
            Place("kitchen-rules", "Price rules", _OWNER),
            Place("kitchen-taxes", "Taxes", _OWNER),
            Place("post", "Mails sent", _OWNER),
        ),
    ),
)


def _url(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def _links(places: tuple[Place, ...], roles: Set[str], path: str) -> list[tuple[Place, Link]]:
    """Resolve the places open to these roles; the longest address that begins the path is where we are."""
    open_places = [(place, _url(place.name)) for place in places if place.roles & roles]
    found = [(place, url) for place, url in open_places if url]
    here = max((url for _, url in found if _within(path, url)), key=len, default=None)
    return [(place, Link(url, place.label, url == here, url == path)) for place, url in found]


def _within(path: str, url: str) -> bool:
    return path == url or (url != "/" and path.startswith(url.rstrip("/") + "/"))


def _section(path: str, roles: Set[str]) -> Place | None:
    """Return the place whose own or lower addresses hold this path."""
    best: tuple[int, Place | None] = (-1, None)
    for place in PLACES:
        if not place.roles & roles:
            continue
        for url in map(_url, [place.name, *(lower.name for lower in place.below)]):
            if url and _within(path, url) and len(url) > best[0]:
                best = (len(url), place)
    return best[1]


def home(roles: Set[str]) -> str:
    """Return the first place these roles may open; the front address when there is none."""
    return next((url for place in PLACES if place.roles & roles and (url := _url(place.name))), "/")


def navigation(request: HttpRequest, roles: Set[str]) -> Navigation:
    """Build the navigation of a page."""
    if not roles:
        return Navigation()
    section = _section(request.path, roles)
    items = [
        Link(link.url, link.label, place is section, link.exact) for place, link in _links(PLACES, roles, request.path)
    ]
    below = _links(section.below, roles, request.path) if section else []
    return Navigation(
        home=home(roles),
        section=section.label if section else "",
        items=tuple(items),
        below=tuple(link for _, link in below),
    )
