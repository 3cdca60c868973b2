"""Temperatures as people type them, in °F or °C."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from catalog.templatetags.recipes import degrees
from catalog.web import display
from catalog.web.measure_fields import TemperatureField, degrees_shown

HUNDREDTHS = st.decimals(min_value=-100, max_value=900, places=2)


@pytest.mark.parametrize(
    ("degrees", "entered", "celsius"),
    [
        # The exact fixed points of the scales: 32 °F is 0 °C, 212 °F is 100 °C, -40 is the same in both.
        ("F", "32", 0),
        ("F", "212 °F", 100),
        ("F", "−40", -40),
        ("C", "-40", -40),
        ("F", "176", 80),
        ("C", "80", 80),
        ("C", "80.5", Decimal("80.5")),
        # A letter behind the number goes before the kitchen's degrees.
        ("F", "80 °C", 80),
        ("F", "80c", 80),
        ("C", "176 ºF", 80),
        ("C", "176f", 80),
        ("C", "80°", 80),
        ("F", "", None),
        ("F", " ° ", None),
    ],
)
def test_what_was_entered_is_read_as_celsius(degrees: str, entered: str, celsius: Decimal | int | None) -> None:
    assert TemperatureField(degrees=degrees).clean(entered) == celsius


@pytest.mark.parametrize(
    ("degrees", "entered", "sentence"),
    [
        ("F", "warm", "Write the warmth as a number, such as 176."),
        ("C", "warm", "Write the warmth as a number, such as 80."),
        ("F", "F", "Write the warmth as a number, such as 176."),
        ("F", "176 K", "Write the warmth as a number, such as 176."),
        ("F", "22", "The warmth must be from 23 to 302 °F."),
        ("C", "151", "The warmth must be from -5 to 150 °C."),
        ("C", "303 F", "The warmth must be from -5 to 150 °C."),
        ("F", "2000", "A temperature of 2000 °F is not possible. Check it."),
        ("C", "-300", "A temperature of -300 °C is not possible. Check it."),
    ],
)
def test_what_cannot_be_is_refused_in_the_kitchens_degrees(degrees: str, entered: str, sentence: str) -> None:
    field = TemperatureField(what="the warmth", degrees=degrees, within=(-5, 150), examples=("176", "80"))
    with pytest.raises(ValidationError) as refusal:
        field.clean(entered)
    assert refusal.value.messages == [sentence]


@pytest.mark.parametrize("end", ["23", "302", "-5 °C", "150 °C"])
def test_the_bounds_themselves_are_accepted(end: str) -> None:
    assert TemperatureField(within=(-5, 150)).clean(end) in (-5, 150)


@given(entered=HUNDREDTHS, degrees=st.sampled_from("FC"), shown_in=st.sampled_from("FC"))
def test_saving_again_changes_nothing_even_after_the_kitchen_changed_its_degrees(
    entered: Decimal, degrees: str, shown_in: str
) -> None:
    try:
        stored = TemperatureField(degrees=degrees).clean(str(entered))
    except ValidationError:
        return
    field = TemperatureField(degrees=shown_in)
    assert field.clean(field.prepare_value(stored)) == stored


@pytest.mark.parametrize(
    ("stored", "degrees", "shown"), [("79.444444", "F", "175"), ("3.3", "F", "37.94"), ("3", "C", "3")]
)
def test_no_more_decimals_are_shown_than_are_needed(stored: str, degrees: str, shown: str) -> None:
    assert TemperatureField(degrees=degrees).prepare_value(Decimal(stored)) == shown


def test_for_the_eye_one_decimal_is_enough() -> None:
    assert degrees_shown(Decimal("3.33"), "F") == "38"


def test_a_temperature_below_zero_has_a_minus_sign() -> None:
    with display.use(display.DisplaySettings(degrees="F")):
        assert degrees(Decimal(-18)) == "−0.4\u00a0°F"
