"""A tax without a name is not shown by its code."""

import pytest

from catalog.taxes.models import TaxCategory


@pytest.mark.parametrize(
    ("name", "code", "shown"),
    [
        ("Prepared food", "food", "Prepared food"),
        ("", "prepared-food", "Prepared food"),
        ("", "standard_rate", "Standard rate"),
        ("", "7", "7"),
    ],
)
def test_a_category_without_a_name_is_called_by_its_code_in_words(name: str, code: str, shown: str) -> None:
    assert str(TaxCategory(name=name, code=code)) == shown
