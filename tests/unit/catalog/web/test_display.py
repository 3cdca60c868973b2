"""Figures, dates and words as people read them."""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.models import Kitchen
from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.fields import ClockField

METRIC = DisplaySettings(measures="metric", locale="de_DE", time_zone="Europe/Vienna", currency="EUR")


@pytest.mark.parametrize(
    ("value", "currency", "text"),
    [
        (1234, "USD", "$12.34"),
        (-5, "USD", "−$0.05"),
        (0, "USD", "$0.00"),
        (123_456_789, "USD", "$1,234,567.89"),
        (1234, "JPY", "¥1,234"),
        (1234, "KWD", "KWD1.234"),
        (None, "USD", ""),
    ],
)
def test_minor_units_are_written_with_the_decimals_of_iso_4217(value: int | None, currency: str, text: str) -> None:
    assert display.minor(value, currency) == text


def test_money_follows_the_kitchens_locale_and_currency() -> None:
    with display.use(METRIC):
        assert display.minor(123_456) == "1.234,56\u00a0€"
        assert display.plain(Decimal("1234.5")) == "1.234,5"
        assert display.percent(Decimal("0.5274")) == "52,7\xa0%"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("7.125"), "$7.13"),
        (Fraction(1, 3), "$0.33"),
        (Decimal("0.0045"), "$0.0045"),
        (Decimal("0.05"), "$0.05"),
        (Decimal(0), "$0.00"),
        (Decimal("-2.005"), "−$2.01"),
        (None, ""),
    ],
)
def test_money_that_is_not_charged_is_rounded_half_up_and_small_costs_keep_decimals(
    value: Decimal | None, text: str
) -> None:
    assert display.amount(value, "USD") == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("0.5274"), "52.7%"),
        (Fraction(1, 3), "33.3%"),
        (1, "100.0%"),
        (Decimal("-0.05"), "-5.0%"),
        (None, ""),
    ],
)
def test_a_share_is_a_percentage_with_one_decimal(value: Decimal | None, text: str) -> None:
    assert display.percent(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("2.500"), "2.5"),
        (Decimal("1E+2"), "100"),
        (Fraction(2, 3), "0.667"),
        (Decimal("1234.5678"), "1,234.568"),
        (0.1, "0.1"),
        (7, "7"),
        ("", ""),
    ],
)
def test_a_plain_number_has_no_needless_zeros_and_at_most_three_decimals(value: Decimal, text: str) -> None:
    assert display.plain(value) == text


@given(st.fractions(min_value=-1000, max_value=1000), st.integers(0, 4))
def test_rounding_for_the_eye_is_half_up_on_the_absolute_value(value: Fraction, digits: int) -> None:
    shown = Fraction(display.rounded(value, digits))
    half = Fraction(1, 2 * 10**digits)
    assert abs(abs(value) - abs(shown)) <= half
    assert abs(value) - abs(shown) != half, "a tie was rounded down"


@pytest.mark.parametrize(
    ("grams", "american", "metric"),
    [
        (250, "8.82 oz", "250 g"),
        (Decimal("453.59237"), "1 lb", "454 g"),
        (1500, "3.31 lb", "1,5 kg"),
        (Decimal("0.4"), "0.01 oz", "0,4 g"),
        (12_345, "27.2 lb", "12,3 kg"),
    ],
)
def test_a_mass_is_written_in_the_kitchens_measures(grams: Decimal, american: str, metric: str) -> None:
    assert display.mass(grams) == american
    with display.use(METRIC):
        assert display.mass(grams) == metric


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("96 fl_oz", "96 fl oz"),
        ("1/2 gallon", "½ gallon"),
        ("2 1/2 cup", "2 ½ cups"),
        ("1 dozen", "1 dozen"),
        ("4 dozen", "4 dozen"),
        ("25 lb", "25 lb"),
        ("100 each", "100 pieces"),
        ("1 each", "1 piece"),
        ("12 pint", "12 pints"),
        ("a crate", "a crate"),
        ("", ""),
        (None, ""),
    ],
)
def test_a_stored_measure_is_written_as_people_say_it(written: str | None, text: str) -> None:
    assert display.measure(written) == text


def test_a_distance_is_written_in_the_kitchens_unit() -> None:
    assert display.distance(Decimal("28.968")) == "29 km"
    assert display.distance(None) == ""
    with display.use(replace(display.current(), distance="mi")):
        assert display.distance(Decimal("28.968")) == "18 mi"


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (95, "1 h 35 min"),
        (60, "1 h"),
        (0, "0 min"),
        (Decimal("0.3"), "less than a minute"),
        (Fraction(119, 2), "1 h"),
        (47 * 60, "47 h"),
        (50 * 60, "2 days 2 h"),
        (72 * 60, "3 days"),
        (-30, "−30 min"),
        (None, ""),
    ],
)
def test_minutes_are_written_in_hours_and_days(minutes: Decimal | None, text: str) -> None:
    assert display.duration(minutes) == text


def test_times_are_shown_in_the_kitchens_zone_in_full_words() -> None:
    moment = datetime(2027, 2, 6, 21, tzinfo=UTC)
    with display.use(DisplaySettings(time_zone="America/New_York")):
        assert display.moment(moment) == "Saturday, February 6, 2027, 4:00 PM"
        assert display.day(moment) == "Saturday, February 6, 2027"
        assert display.clock(moment) == "4:00 PM"
    with display.use(DisplaySettings(time_zone="Asia/Tokyo")):
        assert display.moment(moment) == "Sunday, February 7, 2027, 6:00 AM"
    assert display.day(date(2027, 8, 31)) == "Tuesday, August 31, 2027"
    assert display.moment(None) == display.day(None) == display.clock(None) == ""


@pytest.mark.parametrize(
    ("locale", "window", "column", "share"),
    [
        # Unicode CLDR 47, as in babel 2.18: full dates, medium dates and short times of each locale.
        ("en_US", "Saturday, December 19, 2026, 4:00 PM to 4:45 PM", "Dec 19, 2026", "7.25%"),
        ("en_GB", "Saturday, 19 December 2026, 16:00 to 16:45", "19 Dec 2026", "7.25%"),
        ("en_CA", "Saturday, December 19, 2026, 4:00 p.m. to 4:45 p.m.", "Dec 19, 2026", "7.25%"),
        ("de_DE", "Saturday, 19 December 2026, 16:00 to 16:45", "19 Dec 2026", "7,25\xa0%"),
        ("fr_FR", "Saturday, 19 December 2026, 16:00 to 16:45", "19 Dec 2026", "7,25\xa0%"),
        # CLDR has no English of Japan.
        ("ja_JP", "Saturday, 19 December 2026, 16:00 to 16:45", "19 Dec 2026", "7.25%"),
        ("tr_TR", "Saturday, 19 December 2026, 16:00 to 16:45", "19 Dec 2026", "%7,25"),
    ],
)
def test_dates_clocks_and_shares_are_the_locales(locale: str, window: str, column: str, share: str) -> None:
    start = datetime(2026, 12, 19, 16, tzinfo=UTC)
    with display.use(DisplaySettings(locale=locale, time_zone="UTC")):
        assert display.window(start, start.replace(minute=45)) == window
        assert display.short_day(start) == column
        assert display.rate(Decimal("0.0725")) == display.percentage(Decimal("7.25")) == share


@pytest.mark.parametrize("locale", ["en_US", "en_GB", "de_DE", "fr_CA", "hi_IN"])
def test_a_clock_that_is_shown_can_be_typed_again(locale: str) -> None:
    field = ClockField(what="the start")
    with display.use(DisplaySettings(locale=locale)):
        for hour in range(24):
            assert field.clean(field.prepare_value(time(hour, 5))) == time(hour, 5)


def test_a_window_names_its_day_once_unless_it_ends_on_another() -> None:
    start = datetime(2027, 2, 6, 16, tzinfo=ZoneInfo("America/New_York"))
    with display.use(DisplaySettings()):
        assert display.window(start, start.replace(hour=17)) == "Saturday, February 6, 2027, 4:00 PM to 5:00 PM"
        late = display.window(start, start.replace(day=7, hour=1))
        assert late == "Saturday, February 6, 2027, 4:00 PM to Sunday, February 7, 2027, 1:00 AM"
        assert display.window(start, None) == "Saturday, February 6, 2027, 4:00 PM"


def test_the_display_settings_of_a_kitchen_hold_inside_the_block_only() -> None:
    kitchen = Kitchen(name="Tollgate Oven", email="oven@example.org", locale="de_DE", currency="EUR", measures="metric")
    with display.kitchen_display(kitchen):
        assert display.current().name == "Tollgate Oven"
        assert display.minor(5) == "0,05\u00a0€"
    assert display.current() == DisplaySettings()


@pytest.mark.parametrize(("measures", "unit", "price"), [("us", "lb", "$10.00"), ("metric", "kg", "$22.05")])
def test_prices_of_a_mass_are_said_by_the_kitchens_own_unit(measures: str, unit: str, price: str) -> None:
    """A pound is exactly 0.45359237 kg (NIST Handbook 44, appendix C)."""
    with display.use(replace(display.current(), measures=measures, currency="USD", locale="en_US")):
        assert display.mass_unit() == unit
        assert display.per_mass(Fraction("22.0462262185")) == price
        assert display.per_mass(None) == ""


def test_figures_longer_than_the_usual_precision_are_written_whole() -> None:
    assert display.amount(Fraction(10**30, 7), "USD") == "$142,857,142,857,142,857,142,857,142,857.14"
    assert display.plain(Fraction(10**30, 7)) == "142,857,142,857,142,857,142,857,142,857.143"


def test_names_with_commas_have_semicolons_between_them() -> None:
    names = ["Dark chocolate mousse, glass", "Lemon curd tartlet", "Almond squares"]
    assert display.joined(names) == "Dark chocolate mousse, glass; Lemon curd tartlet; Almond squares"
    assert display.either(names[:2]) == "Dark chocolate mousse, glass or Lemon curd tartlet"
    assert display.listed(names[:2]) == "Dark chocolate mousse, glass; Lemon curd tartlet"
    assert display.joined(["33,3 %", "66,7 %"]) == "33,3 % and 66,7 %"


def test_money_of_a_page_for_people_has_no_part_of_a_cent() -> None:
    assert [display.cents(value) for value in (Fraction("0.0284"), Fraction("0.004"), 0, Fraction("2.345"))] == [
        "$0.03",
        "under $0.01",
        "$0.00",
        "$2.35",
    ]


def test_single_pieces_that_are_bought_are_counted() -> None:
    assert display.packs(2, "1 each") == "2 pieces"
    assert display.packs(1, "1 each") == "1 piece"
    assert display.packs(2, "5 lb") == "2 × 5 lb"
