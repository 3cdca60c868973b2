"""What the Book is read from is tested here: it is read each time."""

import pytest


@pytest.fixture(autouse=True)
def _read_each_time(books_read_anew: None) -> None:
    """Have no Book known from another test."""
