"""What a factory writes again is what it wrote, and only where everything it could read is the same."""

from unittest.mock import patch

import pytest
from django.db import transaction

from catalog.kitchen.models import Kitchen
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests import factories, remembered
from tests.factories import approved_make, kitchen_make, pdf_stored, sent_make
from tests.integration.orders.builders import invoice_make, order_make

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remembered, "_KNOWN", {})
    remembered.replaced.clear()


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[Quote]:
    """The quotes whose files were made: work that is done for each quote that is really sent."""
    found: list[Quote] = []

    def noted(quote: Quote) -> Quote:
        found.append(quote)
        return pdf_stored(quote)

    monkeypatch.setattr(factories, "pdf_stored", noted)
    remembered.replaced.clear()
    return found


def test_rows_written_again_are_the_rows_that_were_written(made: list[Quote]) -> None:
    kitchen_make()
    states = []
    for _ in range(2):
        before = transaction.savepoint()
        approved_make()
        order = order_make(title="Harvest supper")
        invoice = invoice_make(order)
        states.append((remembered._rows(), order.pk, order.number, invoice.number, [*order.lines.values()]))
        transaction.savepoint_rollback(before)
    assert states[0] == states[1]
    assert len(made) == 1, "order_make stores the file by its own name"


def test_what_is_written_again_goes_on_as_if_it_had_been_made() -> None:
    kitchen_make()
    before = transaction.savepoint()
    order_make()
    transaction.savepoint_rollback(before)
    first, second = order_make(), order_make()
    assert first.pk != second.pk
    assert first.number != second.number
    assert Order.objects.count() == 2


def test_another_row_or_another_argument_is_other_work(made: list[Quote]) -> None:
    kitchen_make()

    def sent(title: str = "Wedding of Ida and Jonas") -> None:
        before = transaction.savepoint()
        sent_make(title=title)
        transaction.savepoint_rollback(before)

    sent()
    sent()
    assert len(made) == 1
    sent("Harvest supper")
    assert len(made) == 2
    Kitchen.objects.update(name="Another kitchen")
    sent()
    assert len(made) == 3


def test_where_a_test_replaced_code_the_work_is_done(made: list[Quote], monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen_make()

    def sent() -> None:
        before = transaction.savepoint()
        sent_make()
        transaction.savepoint_rollback(before)

    sent()
    with patch("tests.factories.BY", "somebody else"):
        sent()
    assert len(made) == 2
    sent()
    assert len(made) == 2
    monkeypatch.setattr("tests.factories.BY", "somebody else")
    sent()
    assert len(made) == 3


def test_the_clock_has_to_show_the_same(made: list[Quote], monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen_make()
    for clock in (factories.NOW, factories.NOW, factories.EVENT):
        monkeypatch.setattr("django.utils.timezone.now", lambda clock=clock: clock)
        before = transaction.savepoint()
        sent_make()
        transaction.savepoint_rollback(before)
    assert len(made) == 2
