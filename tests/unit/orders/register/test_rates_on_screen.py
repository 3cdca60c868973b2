"""Tax rates beside the register are written as the kitchen's locale does; in the files they are the same everywhere."""

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from catalog.web import display
from orders.register.file_content import rate_text
from orders.register.presenters import totals_tables


@pytest.mark.parametrize(("locale", "words"), [("de_DE", "VAT 7\xa0%"), ("en_US", "VAT 7%")])
def test_a_german_screen_has_a_space_before_the_sign(locale: str, words: str) -> None:
    tax = SimpleNamespace(name="VAT", rate=Decimal("0.07"), taxable=None, tax=None)
    sums: Any = SimpleNamespace(taxes=[tax])
    with display.use(display.DisplaySettings(locale=locale)):
        (table,) = totals_tables([sums])
        assert [row.name for row in table.taxes] == [words]
        assert rate_text(Decimal("0.07")) == "7%"
