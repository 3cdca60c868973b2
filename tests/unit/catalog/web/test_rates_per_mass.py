"""Labor minutes per mass in a field: shown rounded where they were entered per kilogram, and read back exactly."""

from decimal import Decimal

import pytest

from catalog.web import display
from catalog.web.measure_fields import MassRateField


@pytest.fixture
def pounds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(display, "mass_unit", lambda: "lb")


@pytest.mark.parametrize(
    ("stored", "shown"), [("1.2", "0.54"), ("2", "0.91"), ("0.005", "0.0023"), ("1.1023113109", "0.5"), ("0", "0")]
)
@pytest.mark.usefixtures("pounds")
def test_a_raw_conversion_is_shown_rounded_and_read_back_as_it_is(stored: str, shown: str) -> None:
    """Seen: "Labor minutes per lb: 0.544310844"."""
    field = MassRateField(what="the labor minutes", required=False)
    field.known = [Decimal(stored)]
    assert field.prepare_value(Decimal(stored)) == shown
    assert field.clean(shown) == Decimal(stored)


@pytest.mark.usefixtures("pounds")
def test_what_is_changed_is_read_as_it_is_written() -> None:
    field = MassRateField(what="the labor minutes", required=False)
    field.known = [Decimal("1.2")]
    assert field.clean("0.55") == Decimal("1.2125424420")
    assert field.clean("") is None
