"""Lengths as a kitchen types and reads them."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.unit_fields import LengthField


class TestLengths:
    """1 in is 2.54 cm exactly (international yard and pound agreement, 1959)."""

    @pytest.mark.parametrize(
        ("measures", "entered", "stored"),
        [
            ("us", "9", "22.86"),
            ("us", "9 1/8", "23.1775"),
            ("us", "9½ in", "24.13"),
            ("us", "24 cm", "24"),
            ("us", "240mm", "24"),
            ("metric", "24", "24"),
            ("metric", "9 in", "22.86"),
            ("metric", '9"', "22.86"),
        ],
    )
    def test_a_bare_number_is_in_the_kitchens_unit(self, measures: str, entered: str, stored: str) -> None:
        with display.use(DisplaySettings(measures=measures)):
            assert LengthField(what="the height", above=0).clean(entered) == Decimal(stored)

    @given(st.integers(min_value=1, max_value=50_000), st.sampled_from(["us", "metric"]))
    def test_saving_what_is_shown_changes_nothing(self, hundredths: int, measures: str) -> None:
        stored = Decimal(hundredths) / 100
        field = LengthField(what="the height", above=0)
        with display.use(DisplaySettings(measures=measures)):
            assert field.clean(field.prepare_value(stored)) == stored

    def test_limits_are_named_in_the_kitchens_unit(self) -> None:
        field = LengthField(what="the height", above=0)
        with display.use(DisplaySettings(measures="us")), pytest.raises(ValidationError, match="197 in or less"):
            field.clean("198")
        with display.use(DisplaySettings(measures="metric")), pytest.raises(ValidationError, match="500 cm or less"):
            field.clean("501")
