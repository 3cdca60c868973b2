"""Numbers as people type them."""

from dataclasses import replace
from datetime import date, time
from decimal import Decimal

import pytest
from babel.numbers import format_decimal
from django.core.exceptions import ValidationError
from djmoney.money import Money
from hypothesis import given
from hypothesis import strategies as st

from catalog.pantry.forms import PackSizeField
from catalog.web import display
from catalog.web.fields import ClockField, DayField, NumberField, PercentField, WholeField
from catalog.web.measure_fields import MeasureField, measure_read, minutes_read
from catalog.web.money_fields import MoneyField, PackPriceField
from catalog.web.numbers import number_input, plain_number, trimmed


@pytest.mark.parametrize(
    ("entered", "number"),
    [
        ("12", "12"),
        ("1,234.50", "1234.50"),
        ("1.234,50", "1234.50"),
        ("1 234,50", "1234.50"),
        ("1\u00a0234,50", "1234.50"),
        ("$12.30", "12.30"),
        ("1,250", "1250"),
        ("0,845", "0.845"),
        ("€ 7", "7"),
        ("58 %", "58"),
        ("-3", "-3"),
        ("− 3.5", "-3.5"),
        ("0012", "12"),
        ("1'234.50", "1234.50"),
    ],
)
def test_a_number_is_read_as_people_write_it(entered: str, number: str) -> None:
    assert plain_number(entered, what="the price") == Decimal(number)


@pytest.mark.parametrize(
    "entered", ["twelve", "1e5", "1.2.3", "NaN", "Infinity", "١٢", "12 cups", "--3", "1" * 60, "\x00"]
)
def test_what_is_not_a_number_is_refused_with_the_fix(entered: str) -> None:
    with pytest.raises(ValidationError, match=r"Write the price as a number, such as 12\.50\."):
        plain_number(entered, what="the price")


@pytest.mark.parametrize("entered", ["35", "35 min", "35min.", "35 MINUTES", " 35 mins "])
def test_a_unit_the_label_names_may_be_written_behind_the_number(entered: str) -> None:
    field = NumberField(what="the minutes", allowed_units=("minutes", "mins", "min"))
    assert field.clean(entered) == Decimal(35)


@pytest.mark.parametrize("entered", ["min", "35 km", "5 min 3 min"])
def test_another_unit_is_not_taken_for_it(entered: str) -> None:
    with pytest.raises(ValidationError, match="Write the minutes as a number"):
        NumberField(what="the minutes", unit="min").clean(entered)


@given(st.decimals(min_value=0, max_value=10**9, places=4))
def test_a_number_written_and_read_again_is_the_same(number: Decimal) -> None:
    assert plain_number(trimmed(number), what="it") == number


def test_a_percentage_is_read_as_a_share_and_shown_as_entered() -> None:
    field = PercentField(what="the margin", most=99)
    assert field.clean("58.5 %") == Decimal("0.585")
    assert field.prepare_value(Decimal("0.585")) == "58.5"
    with pytest.raises(ValidationError, match="The margin must be 99 or less"):
        field.clean("100")


def test_charged_money_is_read_in_its_currency_and_never_finer_than_its_coins() -> None:
    field = MoneyField(what="the amount", currency="USD", charged=True)
    assert field.clean("$1,234.50") == Money("1234.50", "USD")
    assert field.prepare_value(Money("1234.5", "USD")) == "1234.50"
    with pytest.raises(ValidationError, match="at most 2 decimals"):
        field.clean("1.005")
    yen = MoneyField(what="the amount", currency="JPY", charged=True)
    assert yen.clean("1200") == Money(1200, "JPY")
    assert yen.prepare_value(Money(1200, "JPY")) == "1200"
    with pytest.raises(ValidationError, match="without decimals"):
        yen.clean("12.5")


def test_money_of_two_currencies_is_never_one_sum() -> None:
    dollars, euros = (MoneyField(what="the amount", currency=code).clean("12.50") for code in ("USD", "EUR"))
    with pytest.raises(TypeError):
        dollars + euros


def test_a_required_number_that_is_missing_is_named() -> None:
    with pytest.raises(ValidationError, match="Enter the guests"):
        WholeField(what="the guests").clean("")
    assert NumberField(what="the guests", required=False).clean("") is None


def test_a_whole_number_has_no_decimals() -> None:
    with pytest.raises(ValidationError, match="whole number"):
        WholeField(what="the guests").clean("12.5")


@pytest.mark.parametrize(
    "entered",
    [
        "13. Februar 2027",
        "13. Feb. 2027",
        "Samstag, 13. Februar 2027",
        "2027-02-13",
        "13 February 2027",
        "February 13, 2027",
        "02/13/2027",
        "13.02.2027",
        "Saturday 13 February 2027",
    ],
)
def test_a_day_is_read_in_many_spellings(entered: str) -> None:
    assert DayField(what="the day").clean(entered) == date(2027, 2, 13)


def test_slashes_are_read_day_first_outside_the_united_states() -> None:
    assert DayField(what="the day", month_first=False).clean("13/02/2027") == date(2027, 2, 13)


@pytest.mark.parametrize("entered", ["2027-02-31", "tomorrow", "31/31/2027", "0001-01-01", "99999-01-01"])
def test_a_day_that_does_not_exist_is_refused(entered: str) -> None:
    with pytest.raises(ValidationError):
        DayField(what="the day").clean(entered)


@pytest.mark.parametrize(
    ("entered", "read"),
    [
        ("16:00", time(16)),
        ("4 pm", time(16)),
        ("4:30pm", time(16, 30)),
        ("1600", time(16)),
        ("9", time(9)),
        ("16.15", time(16, 15)),
        ("18 Uhr", time(18)),
        ("18 Uhr 30", time(18, 30)),
        ("18:30 Uhr", time(18, 30)),
        ("18.30 uhr", time(18, 30)),
    ],
)
def test_a_time_is_read_in_many_spellings(entered: str, read: time) -> None:
    assert ClockField(what="the time").clean(entered) == read


@pytest.mark.parametrize(
    ("entered", "minutes"),
    [
        ("1 Tag", 1440), ("2 Tage", 2880), ("1,5 Std", 90), ("1,5 Std.", 90), ("3 Stunden", 180),
        ("1 Stunde und 30 Minuten", 90), ("0,5 h", 30), ("45 min", 45),
    ],
)  # fmt: skip
def test_a_german_kitchen_writes_spans_in_german_too(entered: str, minutes: int) -> None:
    with display.use(replace(display.current(), locale="de_DE")):
        assert minutes_read(entered, what="the wait") == minutes


def test_limits_and_examples_are_written_as_the_kitchen_writes_numbers() -> None:
    with display.use(replace(display.current(), locale="de_DE")):
        with pytest.raises(ValidationError, match=r"such as 12,50\."):
            plain_number("viel", what="the price")
        with pytest.raises(ValidationError, match=r"must be 0,5 or more\."):
            NumberField(what="the share", least=Decimal("0.5")).clean("0,1")


def test_a_comma_is_a_decimal_where_the_language_writes_it_so() -> None:
    assert plain_number("1,250", what="it") == Decimal(1250)
    with display.use(replace(display.current(), locale="de_DE")):
        assert plain_number("1,250", what="it") == Decimal("1.250")
        assert plain_number("1.250,5", what="it") == Decimal("1250.5")
        assert plain_number("1.250", what="it") == Decimal(1250)
        assert plain_number("12.5", what="it") == Decimal("12.5")


def test_a_number_that_can_be_read_two_ways_is_asked_about_and_both_are_named() -> None:
    with pytest.raises(ValidationError, match=r"“12,5” can be read as 12\.5 or as 125\. Write one of these\."):
        plain_number("12,5", what="it")


@pytest.mark.parametrize("locale", ["en_US", "de_DE", "de_AT", "de_CH", "fr_FR", "sv_SE"])
@given(st.decimals(min_value=0, max_value=10**7, places=3))
def test_what_an_input_shows_is_read_as_the_same_number_in_every_country(locale: str, number: Decimal) -> None:
    with display.use(replace(display.current(), locale=locale)):
        assert plain_number(number_input(number), what="it") == number
        assert NumberField(what="it").clean(NumberField(what="it").prepare_value(number)) == number
        share = PercentField(what="it")
        assert share.clean(share.prepare_value(number)) == number
        money = MoneyField(what="it", currency="EUR")
        assert money.clean(money.prepare_value(number)).amount == number
        measure = MeasureField(what="it")
        exact = f"{trimmed(number + 1)} g"
        assert measure.clean(measure.prepare_value(exact)) == exact
        size = PackSizeField(what="it")
        assert size.clean(size.prepare_value(exact)) == exact


@pytest.mark.parametrize("locale", ["en_US", "de_DE", "de_CH", "fr_FR", "en_GB"])
@given(st.integers(min_value=1000, max_value=10**8))
def test_thousands_separated_as_the_country_does_are_never_decimals(locale: str, number: int) -> None:
    written = format_decimal(number, locale=locale)
    with display.use(replace(display.current(), locale=locale)):
        assert plain_number(written, what="it") == number
        assert measure_read(f"{written} g") == f"{number} g"


def test_an_amount_of_a_german_kitchen_has_its_thousands_after_a_point() -> None:
    with display.use(replace(display.current(), locale="de_DE")):
        assert measure_read("1.000 g") == "1000 g"
        assert measure_read("1.250,5 g") == "1250.5 g"
        assert measure_read("1 000 g") == "1000 g"
        assert measure_read("0.845 kg") == "0.845 kg"
        assert minutes_read("1.500 min", what="it") == 1500
        assert minutes_read("1,5 h", what="it") == 90


@pytest.mark.parametrize("entered", ["1 25", "12 50", "1 2 3", "1,25,000", "1.25.000"])
def test_what_separates_no_thousands_is_not_left_out(entered: str) -> None:
    with pytest.raises(ValidationError):
        plain_number(entered, what="it")


@pytest.mark.parametrize(("entered", "read"), [(".67", "0.67"), ("$.50", "0.50"), ("-.5", "-0.5")])
def test_a_number_may_begin_with_its_point(entered: str, read: str) -> None:
    assert plain_number(entered, what="the amount") == Decimal(read)


@pytest.mark.parametrize("entered", ["$52.80/cs", "52.80 per case", "52.80 / Case", "52.80 a box", "52.80"])
def test_the_price_of_a_pack_may_say_that_it_is_the_packs(entered: str) -> None:
    field = PackPriceField(what="the price", currency="USD")
    assert field.clean(entered).amount == Decimal("52.80")


def test_the_price_of_a_pound_is_not_taken_for_the_packs() -> None:
    with pytest.raises(ValidationError):
        PackPriceField(what="the price", currency="USD").clean("4.20/lb")
