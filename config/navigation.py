"""The navigation: main entries and the entries below them.

Access is read from each view; an entry without an address, or not open to the user, is left out.
"""

from collections.abc import Iterable, Set
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, get_urlconf, resolve, reverse

from catalog.web.access import ANYBODY


@dataclass(frozen=True, slots=True)
class Place:
    """An entry: its URL name, its label, the entries below, and other URL names that belong to it."""

    name: str
    label: str
    below: tuple["Place", ...] = ()
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Link:
    """An entry for the template."""

    url: str
    label: str
    current: bool
    exact: bool


@dataclass(frozen=True, slots=True)
class Navigation:
    """The navigation of a page."""

    home: str = ""
    section: str = ""
    items: tuple[Link, ...] = ()
    below: tuple[Link, ...] = field(default=())


PLACES: Final = (
    Place("day", "The day"),
    Place(
        "inquiries",
        "Enquiries",
        (Place("inquiries", "Enquiries"), Place("customers", "Customers"), Place("repriced", "At today's prices")),
        also=("/quotes/",),
    ),
    Place("orders", "Orders"),
    Place("sheets", "Sheets"),
    Place(
        "money-register",
        "Money",
        (
            Place("money-register", "Register"),
            Place("money-due", "Money due"),
            Place("money-payments", "Payments"),
            Place("money-exports", "Exports"),
        ),
    ),
    Place(
        "catalog",
        "Catalogue",
        (
            Place("ingredients", "Ingredients"),
            Place("recipes", "Recipes"),
            Place("products", "Products"),
            Place("molds", "Moulds"),
            Place("vessels", "Vessels"),
            Place("suppliers", "Suppliers"),
            Place("price-lists", "Price lists"),
        ),
    ),
    Place(
        "kitchen-profile",
        "Kitchen",
        (
            Place("kitchen-profile", "Profile"),
            Place("kitchen-hours", "Hours"),
            Place("kitchen-roles", "Labour"),
            Place("kitchen-stations", "Stations"),
            Place("kitchen-overhead", "Overhead"),
            Place("kitchen-delivery", "Delivery"),
            Place("kitchen-rules", "Price rules"),
            Place("kitchen-taxes", "Taxes"),
            Place("mail", "Mails sent"),
            Place("kitchen-upkeep", "Mail and backups"),
            Place("sign-in-rules", "Sign-in rules"),
        ),
    ),
)


@lru_cache(maxsize=256)
def _address(urlconf: str, name: str) -> tuple[str, frozenset[str]]:
    """Return a place's address and the roles its view is open to; empty for a name without an address."""
    try:
        url = reverse(name, urlconf=urlconf)
    except NoReverseMatch:
        return "", frozenset()
    roles: frozenset[str] = getattr(resolve(url, urlconf=urlconf).func, "roles", frozenset())
    return url, roles


def _url(place: Place, roles: Set[str]) -> str:
    """Return a place's address if these roles may open it, else empty text."""
    url, allowed = _address(get_urlconf() or settings.ROOT_URLCONF, place.name)
    return url if allowed & (roles | {ANYBODY}) else ""


def _within(path: str, url: str) -> bool:
    return path == url or (url != "/" and path.startswith(url.rstrip("/") + "/"))


def _open(places: Iterable[Place], roles: Set[str]) -> list[tuple[Place, str]]:
    return [(place, url) for place in places if (url := _url(place, roles))]


def _section(path: str, roles: Set[str]) -> Place | None:
    """Return the place whose addresses contain this path; the longest address wins."""
    best: tuple[int, Place | None] = (-1, None)
    for place in PLACES:
        addresses = [url for _, url in _open((place, *place.below), roles)]
        lengths = [len(url) for url in (*addresses, *place.also) if _within(path, url)]
        if addresses and lengths and max(lengths) > best[0]:
            best = (max(lengths), place)
    return best[1]


def _below(section: Place | None, roles: Set[str], path: str) -> tuple[Link, ...]:
    """Return the entries below the section; an entry whose address is a prefix of others is current only on itself."""
    found = _open(section.below, roles) if section else []
    urls = [url for _, url in found]
    links = []
    for place, url in found:
        holds_others = any(other != url and _within(other, url) for other in urls)
        links.append(Link(url, place.label, path == url or (_within(path, url) and not holds_others), path == url))
    return tuple(links)


def home(roles: Set[str]) -> str:
    """Return the first place these roles may open; the front address when there is none."""
    return next((url for _, url in _open(PLACES, roles)), "/")


def navigation(request: HttpRequest, roles: Set[str]) -> Navigation:
    """Build the navigation of a page."""
    if not roles:
        return Navigation()
    section = _section(request.path, roles)
    return Navigation(
        home=home(roles),
        section=section.label if section else "",
        items=tuple(
            Link(url, place.label, place is section, url == request.path) for place, url in _open(PLACES, roles)
        ),
        below=_below(section, roles, request.path),
    )
