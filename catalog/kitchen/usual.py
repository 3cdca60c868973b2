"""What is usual in a country: currency, locale, zone, measures, paper, tax wording, rules. Proposed, never saved alone.

Currencies and official languages are Unicode CLDR's, through babel. Measurement systems, degrees and paper sizes are
CLDR's supplemental data (``measurementData``), from memory, because babel does not carry them. Whether prices for
consumers hold the tax is common practice, no source; what it is called is in `catalog/kitchen/presenters.py`.
"""

from typing import Final

from babel.core import get_global
from babel.numbers import get_territory_currencies

from catalog.kitchen.models import Kitchen

_FAHRENHEIT: Final = frozenset({"BS", "BZ", "KY", "PR", "PW", "US"})
_US_PAPER: Final = frozenset({"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"})
_POUNDS: Final = frozenset({"LR", "MM", "US"})
_MILES: Final = frozenset({"GB", "US", "PR"})
#: The zone most people of a country with several live in.
_ZONES: Final = {
    "AU": "Australia/Sydney", "CA": "America/Toronto", "CL": "America/Santiago", "DE": "Europe/Berlin",
    "ES": "Europe/Madrid", "MX": "America/Mexico_City", "NZ": "Pacific/Auckland", "PT": "Europe/Lisbon",
    "US": "America/New_York",
}  # fmt: skip
_EUROPEAN_UNION: Final = frozenset(
    {"AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
     "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"}
)  # fmt: skip
#: Where the button that orders has to say that it obliges to pay: Directive 2011/83/EU, Article 8(2), and in the United
#: Kingdom the Consumer Contracts Regulations 2013 (SI 2013/3134), regulation 14(4).
OBLIGED: Final = _EUROPEAN_UNION | {"GB"}
_TAX_ADDED: Final = frozenset({"US", "CA"})


def usual(country: str, *, locales: tuple[str, ...], time_zone: str) -> dict[str, str]:
    """Return the fields of the kitchen's profile that a country has a usual value for.

    Parameters
    ----------
    country : str
        ISO 3166-1 code.
    locales : tuple of str
        The locales there are to choose from.
    time_zone : str
        The zone chosen now: it stays where it is one of the country's.
    """
    found = {
        "measures": Kitchen.Measures.US if country in _POUNDS else Kitchen.Measures.METRIC,
        "cup": "us" if country in _POUNDS else "metric",
        "degrees": Kitchen.Degrees.FAHRENHEIT if country in _FAHRENHEIT else Kitchen.Degrees.CELSIUS,
        "distance": Kitchen.Distance.MILE if country in _MILES else Kitchen.Distance.KM,
        "paper": Kitchen.Paper.LETTER if country in _US_PAPER else Kitchen.Paper.A4,
        "prices": Kitchen.Prices.NET if country in _TAX_ADDED else Kitchen.Prices.GROSS,
        "currency": _currency(country),
        "locale": _locale(country, locales),
        "time_zone": _zone(country, time_zone),
        "allergen_list": _allergens(country),
        "food_safety": _rules(country),
    }
    return {name: str(value) for name, value in found.items() if value}


def _currency(country: str) -> str:
    currencies = get_territory_currencies(country)
    return currencies[0] if currencies else ""


def _locale(country: str, locales: tuple[str, ...]) -> str:
    there = [one for one in locales if one.endswith(f"_{country}")]
    english = f"en_{country}"
    return english if english in there else there[0] if there else ""


def _zone(country: str, chosen: str) -> str:
    zones = [zone for zone, territory in get_global("zone_territories").items() if territory == country]
    if chosen in zones:
        return chosen
    return _ZONES.get(country) or (zones[0] if len(zones) == 1 else "")


def _allergens(country: str) -> str:
    lists = {"US": Kitchen.Allergens.US, "CA": Kitchen.Allergens.CA}
    lists |= dict.fromkeys(("AU", "NZ"), Kitchen.Allergens.ANZ)
    lists |= dict.fromkeys((*_EUROPEAN_UNION, "GB"), Kitchen.Allergens.EU)
    return lists.get(country, "")


def rules_of(country: str) -> tuple[str, ...]:
    """Return the food-safety rules that a country has to choose from; nothing where none are known.

    Rules from before a country was divided are among them.
    """
    codes = Kitchen.FoodSafety
    nations = (codes.UK_EN, codes.UK_WA, codes.UK_NI, codes.UK_SC, codes.UK_COOK_CHILL, codes.UK)
    found = {
        "US": (codes.US,),
        "AU": (codes.AU, codes.ANZ),
        "NZ": (codes.NZ, codes.ANZ),
        "CA": (codes.CA, codes.CA_NB, codes.CA_QC),
        "GB": nations,
    }
    found |= dict.fromkeys(_EUROPEAN_UNION, (codes.EU,))
    return tuple(map(str, found.get(country, ())))


def _rules(country: str) -> str:
    """Return the food-safety rules of a country; of the United Kingdom none, because its nations differ."""
    rules = {
        "US": Kitchen.FoodSafety.US,
        "AU": Kitchen.FoodSafety.AU,
        "NZ": Kitchen.FoodSafety.NZ,
        "CA": Kitchen.FoodSafety.CA,
    }
    rules |= dict.fromkeys(_EUROPEAN_UNION, Kitchen.FoodSafety.EU)
    return rules.get(country, "")
