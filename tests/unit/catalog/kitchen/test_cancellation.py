"""What a cancellation table keeps on a day, read and stored."""

from decimal import Decimal

from catalog.kitchen.cancellation import RetainedRow, row_on, rows_read, rows_stored
from tests.each import each

TABLE = (RetainedRow(21, Decimal("0.3")), RetainedRow(7, Decimal("0.5")), RetainedRow(0, Decimal(1)))


@each(
    ("days_before", "share"),
    [(400, None), (22, None), (21, "0.3"), (8, "0.3"), (7, "0.5"), (1, "0.5"), (0, "1"), (-3, "1")],
)
def test_the_row_of_fewest_days_that_has_begun_holds(days_before: int, share: str | None) -> None:
    found = row_on(TABLE, days_before)
    assert (None if found is None else str(found.share)) == share


def test_without_a_row_of_the_day_itself_the_last_one_holds_on_it() -> None:
    assert row_on(TABLE[:2], 0) == TABLE[1]
    assert row_on(TABLE[:2], -1) == TABLE[1]


def test_a_table_comes_back_as_it_was_stored_the_most_days_first() -> None:
    stored = rows_stored(reversed(TABLE))
    assert stored[0] == {"days": 21, "share": "0.3"}
    assert rows_read(stored) == TABLE
    assert rows_read(None) == () == rows_read([])
