"""Customers read the name of the kitchen's zone as people say it."""

from datetime import UTC, datetime

import pytest

from catalog.web import display
from orders.templatetags.quote_content import zone_name


@pytest.mark.parametrize(
    ("zone", "locale", "name"),
    [
        ("America/New_York", "en_US", "Eastern Time"),
        ("Europe/Berlin", "de_DE", "Central European Time"),
        ("UTC", "en_US", "UTC+00:00"),
    ],
)
def test_a_zone_has_its_everyday_name(zone: str, locale: str, name: str) -> None:
    with display.use(display.DisplaySettings(time_zone=zone, locale=locale)):
        assert zone_name(datetime(2026, 12, 9, 20, 0, tzinfo=UTC)) == name
