"""A draft's table, what it comes to, and its terms."""

from datetime import timedelta
from decimal import Decimal

import pytest

from catalog.selectors.kitchen import kitchen
from orders.selectors.drafts import reckon
from tests import factories

pytestmark = pytest.mark.django_db


def reckoned(quote, table=None, **told):
    told = {"guests": 80, "pieces_per_guest": Decimal("2.5"), **told}
    return reckon(
        table or factories.table_make(),
        enquiry=quote.enquiry,
        kitchen=kitchen(),
        day=factories.NOW.date(),
        **told,
    )


def test_a_table_is_reckoned_with_parts_that_add_up_to_each_line():
    factories.kitchen_make()
    quote = factories.draft_make()
    found = reckoned(quote)
    assert not found.troubles
    assert [line.product.code for line in found.lines][-1] == "walnut-cake"
    for line in found.lines:
        parts = (line.line.ingredients, line.line.packaging, line.line.labour, line.line.overhead, line.left)
        assert abs(sum(parts) - line.line.net) < Decimal("1e-9")
    assert found.servings == 210
    assert found.over == 10
    assert [line.product.code for line in found.beside] == ["walnut-cake"]
