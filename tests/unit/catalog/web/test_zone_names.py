"""Customers read the name of the kitchen's zone as people say it."""

from datetime import UTC, datetime

import pytest

from catalog.web import display


@pytest.mark.parametrize(
    ("zone", "locale", "name"),
    [
        ("America/New_York", "en_US", "Eastern Time"),
        ("Europe/Berlin", "de_DE", "Central European Time"),
        ("Asia/Tokyo", "ja_JP", "Japan Time"),
        ("UTC", "en_US", "UTC"),
    ],
)
def test_a_zone_has_its_everyday_name(zone: str, locale: str, name: str) -> None:
    with display.use(display.DisplaySettings(time_zone=zone, locale=locale)):
        assert display.zone_name(datetime(2026, 12, 9, 20, 0, tzinfo=UTC)) == name
