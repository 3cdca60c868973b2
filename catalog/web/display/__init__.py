"""How figures, dates and lists are written for people: pure functions of the value and the kitchen's display settings.

They are in the lowest app, so that pages, mail, PDFs and charts all use them. The template library
``catalog/templatetags/coldset.py`` makes them available to templates.
"""

from catalog.web.display.figures import line_mass, mass, percent, percentage, plain, rate, rounded
from catalog.web.display.measures import (
    distance,
    length,
    length_unit,
    mass_unit,
    measure,
    minutes_per_mass,
    packs,
    per_mass,
    temperature,
    volume,
)
from catalog.web.display.money import amount, cents, currency_decimals, fine, minor
from catalog.web.display.settings import DisplaySettings, current, display_settings_of, kitchen_display, use
from catalog.web.display.times import (
    clock,
    day,
    day_alone,
    duration,
    local,
    moment,
    month,
    short_day,
    weekday,
    window,
    zone_name,
)
from catalog.web.display.words import either, joined, listed, status

__all__ = [
    "DisplaySettings",
    "amount",
    "cents",
    "clock",
    "currency_decimals",
    "current",
    "day",
    "day_alone",
    "display_settings_of",
    "distance",
    "duration",
    "either",
    "fine",
    "joined",
    "kitchen_display",
    "length",
    "length_unit",
    "line_mass",
    "listed",
    "local",
    "mass",
    "mass_unit",
    "measure",
    "minor",
    "minutes_per_mass",
    "moment",
    "month",
    "packs",
    "per_mass",
    "percent",
    "percentage",
    "plain",
    "rate",
    "rounded",
    "short_day",
    "status",
    "temperature",
    "use",
    "volume",
    "weekday",
    "window",
    "zone_name",
]
