"""Public holidays of the kitchen's country, from the `holidays` library: suggested, never applied by themselves.

They are those of the whole country; what a state, province or canton adds or leaves out, the owner enters.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

#: How far ahead they are listed.
AHEAD: Final = timedelta(days=365)
#: Most characters of a reason to be closed.
_MOST: Final = 80
#: A word as the library spells it in most countries' English names.
_AMERICAN: Final = marked("Labor")


@dataclass(frozen=True, slots=True)
class PublicHoliday:
    """A date on which most of a country is closed, and what it is called."""

    day: date
    name: str


def public_holidays(country: str, *, since: date, language: str) -> tuple[PublicHoliday, ...]:
    """Return the public holidays of the next twelve months, the earliest first; none where the library has none.

    ``country`` is an ISO 3166-1 code. Names are in ``language`` (such as ``en-gb``) where there are such, else as the
    country writes them.
    """
    until = since + AHEAD
    every = _of_years(country, since.year, until.year, language)
    labor = gettext(_AMERICAN)
    return tuple(
        PublicHoliday(day.day, day.name.replace(_AMERICAN, labor)) for day in every if since <= day.day <= until
    )


@lru_cache(maxsize=32)
def _of_years(country: str, first: int, last: int, language: str) -> tuple[PublicHoliday, ...]:
    import holidays  # takes half a second, for one page alone

    try:
        known = holidays.country_holidays(country)
    except NotImplementedError:  # how the library says that it does not have a country
        return ()
    # Without one the library would choose by the machine's own settings.
    named = _nearest(language, known.supported_languages) or known.default_language
    found = holidays.country_holidays(country, years=range(first, last + 1), language=named)
    return tuple(PublicHoliday(day, name[:_MOST]) for day, name in sorted(found.items()))


def _nearest(language: str, supported: tuple[str, ...]) -> str | None:
    """Return the supported language that is nearest: itself, its own without a country, or with another one."""
    exact, plain = language.replace("-", "_").lower(), language.partition("-")[0].lower()
    for fits in (exact, plain):
        if found := next((one for one in supported if one.lower() == fits), None):
            return found
    return next((one for one in supported if one.partition("_")[0].lower() == plain), None)
