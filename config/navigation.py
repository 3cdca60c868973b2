"""The navigation: main entries and the entries below them.

Access is read from each view; an entry without an address, or not open to the user, is left out.
"""

from collections.abc import Iterable, Set
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, get_urlconf, resolve, reverse
from django.utils.translation import gettext_lazy

from catalog.web.access import ANYBODY

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True, slots=True)
class Place:
    """An entry: its URL name, its label, the entries below, and other URL names that belong to it."""

    name: str
    label: "StrOrPromise"
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
    Place("day", gettext_lazy("The day")),
    Place(
        "inquiries",
        gettext_lazy("Inquiries"),
        (
            Place("inquiries", gettext_lazy("Inquiries")),
            Place("customers", gettext_lazy("Customers")),
            Place("repriced", gettext_lazy("At today's prices")),
        ),
        also=("/quotes/",),
    ),
    Place("orders", gettext_lazy("Orders")),
    Place("sheets", gettext_lazy("Sheets")),
    Place(
        "money-register",
        gettext_lazy("Money"),
        (
            Place("money-register", gettext_lazy("Register")),
            Place("money-due", gettext_lazy("Money due")),
            Place("money-payments", gettext_lazy("Payments")),
            Place("money-papers", gettext_lazy("Requests and receipts")),
            Place("money-exports", gettext_lazy("Exports")),
        ),
    ),
    Place(
        "catalog",
        gettext_lazy("Catalog"),
        (
            Place("ingredients", gettext_lazy("Ingredients")),
            Place("recipes", gettext_lazy("Recipes")),
            Place("products", gettext_lazy("Products")),
            Place("molds", gettext_lazy("Molds")),
            Place("vessels", gettext_lazy("Vessels")),
            Place("suppliers", gettext_lazy("Suppliers")),
            Place("price-lists", gettext_lazy("Price lists")),
            Place("spreadsheets", gettext_lazy("Spreadsheets")),
        ),
    ),
    Place(
        "kitchen-profile",
        gettext_lazy("Kitchen"),
        (
            Place("kitchen-profile", gettext_lazy("Profile")),
            Place("kitchen-hours", gettext_lazy("Hours")),
            Place("usual-desserts", gettext_lazy("Usual desserts")),
            Place("kitchen-roles", gettext_lazy("Labor")),
            Place("kitchen-stations", gettext_lazy("Stations")),
            Place("kitchen-overhead", gettext_lazy("Overhead")),
            Place("kitchen-delivery", gettext_lazy("Delivery")),
            Place("kitchen-rules", gettext_lazy("Price rules")),
            Place("kitchen-taxes", gettext_lazy("Taxes")),
            Place("mail", gettext_lazy("E-mails")),
            Place("reminders", gettext_lazy("Reminders")),
            Place("kitchen-upkeep", gettext_lazy("Mail and backups")),
            Place("people", gettext_lazy("People")),
            Place("sign-in-rules", gettext_lazy("Sign-in rules")),
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
        links.append(Link(url, str(place.label), path == url or (_within(path, url) and not holds_others), path == url))
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
        section=str(section.label) if section else "",
        items=tuple(
            Link(url, str(place.label), place is section, url == request.path) for place, url in _open(PLACES, roles)
        ),
        below=_below(section, roles, request.path),
    )
