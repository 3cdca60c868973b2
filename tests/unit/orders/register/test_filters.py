"""The register's search for numbers."""

import re

import pytest

from orders.register.filters import begins_with


@pytest.mark.parametrize("begins", ["I-", "I-00009", "O-00129"])
def test_a_range_of_numbers_ends_with_a_digit_because_collations_order_other_characters_differently(
    begins: str,
) -> None:
    bounds = dict(begins_with("number", begins).children)  # type: ignore[arg-type]  # pairs
    assert set(bounds) == {"number__gte", "number__lte"}
    assert [bound for bound in bounds.values() if not re.fullmatch(r"[A-Z]-\d*", bound)] == []
    inside = [begins, f"{begins}0", f"{begins}99999"]
    assert all(bounds["number__gte"] <= number <= bounds["number__lte"] for number in inside)
