"""Display settings: the kitchen's locale, measures, time zone. Set per request or per piece of work."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.utils import timezone, translation
from django.utils.translation import gettext_noop as marked

#: Languages of the texts, as Django names them.
AMERICAN: Final = "en-us"
BRITISH: Final = "en-gb"
#: The countries and areas that spell as the United States do.
_AMERICAN_ENGLISH: Final = frozenset({"US", "PR", "VI", "GU", "AS", "MP", "PH", "en"})


@dataclass(frozen=True, slots=True)
class DisplaySettings:
    """The part of the kitchen's profile that display needs."""

    name: str = marked("Your kitchen")
    email: str = ""
    phone: str = ""
    locale: str = "en_US"
    time_zone: str = "America/New_York"
    currency: str = "USD"
    measures: str = "us"
    degrees: str = "F"
    distance: str = "km"
    paper: str = "Letter"
    allergen_list: str = "us"
    prices: str = "net"
    tax_name: str = marked("Sales tax")
    cross_contact: str = ""


_display_settings: ContextVar[DisplaySettings | None] = ContextVar("coldset_display_settings", default=None)


def current() -> DisplaySettings:
    """Return the settings in use, or the defaults where none were set."""
    return _display_settings.get() or DisplaySettings()


def language_of(locale: str) -> str:
    """Return the language of texts in a locale: US English where it is written, else British English."""
    return AMERICAN if locale.replace("-", "_").rpartition("_")[2] in _AMERICAN_ENGLISH else BRITISH


def display_settings_of(kitchen: Any) -> DisplaySettings:
    """Return the settings of a kitchen's profile."""
    return DisplaySettings(**{field.name: getattr(kitchen, field.name) for field in fields(DisplaySettings)})


@contextmanager
def use(display_settings: DisplaySettings) -> Iterator[DisplaySettings]:
    """Write by these settings and in their language, and show times in their zone, inside the block."""
    token = _display_settings.set(display_settings)
    try:
        language = translation.override(language_of(display_settings.locale))
        with timezone.override(ZoneInfo(display_settings.time_zone)), language:
            yield display_settings
    finally:
        _display_settings.reset(token)


@contextmanager
def kitchen_display(kitchen: Any) -> Iterator[DisplaySettings]:
    """Write by the settings of this kitchen inside the block; for workers, mail and PDFs."""
    with use(display_settings_of(kitchen)) as display_settings:
        yield display_settings
