"""The soak's crash points name functions of the product; a renamed one would leave a process that cannot start."""

from importlib import import_module
from typing import Any

from tests.each import each
from tests.soak.faults import STUCK, WAITS, named
from tests.soak.points import POINTS, Point


@each("point", POINTS, ids=lambda point: point.name.replace(" ", "-"))
def test_a_crash_point_names_a_function(point: Point) -> None:
    owner, name = named(point.function)
    assert callable(getattr(owner, name))


def test_there_are_at_least_twelve_points_on_each_database_and_their_names_are_file_names() -> None:
    names = [point.name for point in POINTS if not point.only]
    assert len(set(names)) == len(names) >= 12
    assert not any("/" in name for name in names)


def test_what_the_soak_shortens_exists() -> None:
    services: Any = import_module("catalog.outbox.services")
    assert len(WAITS) == len(services.WAITS)
    assert STUCK < services.STUCK
