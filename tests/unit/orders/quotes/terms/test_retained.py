"""A cancellation table as dates of an event, against tables made by hand; and in words."""

from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from catalog.kitchen.cancellation import RetainedRow
from orders.quotes.terms.cancellation_presenters import cancellation_rows
from orders.quotes.terms.retained import RetainedSpan, days_before, retained_minor, retained_spans
from tests.each import each

TABLE = (RetainedRow(21, Decimal("0.3")), RetainedRow(7, Decimal("0.5")), RetainedRow(1, Decimal(1)))
TOTAL = 91705


def _dates(event: str, today: str, rows: tuple[RetainedRow, ...] = TABLE) -> list[tuple[str, str, int]]:
    """Return the table as texts: first date, last date, what is kept."""
    spans = retained_spans(rows, event=date.fromisoformat(event), today=date.fromisoformat(today), total_minor=TOTAL)
    return [(str(span.first or ""), str(span.last or ""), span.retained_minor) for span in spans]


@each(
    ("event", "today", "table"),
    [
        # The day after a leap day: a day before it is February 29.
        (
            "2028-03-01",
            "2028-01-10",
            [
                ("", "2028-02-08", 0),
                ("2028-02-09", "2028-02-22", 27512),
                ("2028-02-23", "2028-02-28", 45853),
                ("2028-02-29", "", 91705),
            ],
        ),
        ("2027-03-01", "2027-02-22", [("", "2027-02-27", 45853), ("2027-02-28", "", 91705)]),
        # The clocks of the United States change on March 14 and November 7, 2027, those of Europe on March 28.
        (
            "2027-03-15",
            "2027-03-01",
            [("", "2027-03-07", 27512), ("2027-03-08", "2027-03-13", 45853), ("2027-03-14", "", 91705)],
        ),
        ("2027-11-08", "2027-11-01", [("", "2027-11-06", 45853), ("2027-11-07", "", 91705)]),
        ("2027-03-29", "2027-03-27", [("", "2027-03-27", 45853), ("2027-03-28", "", 91705)]),
        # An event tomorrow, today, and over.
        ("2027-02-06", "2027-02-05", [("", "", 91705)]),
        ("2027-02-06", "2027-02-06", [("", "", 91705)]),
        ("2027-02-06", "2027-02-09", [("", "", 91705)]),
    ],
)
def test_a_table_has_the_dates_of_the_event(event: str, today: str, table: list[tuple[str, str, int]]) -> None:
    assert _dates(event, today) == table


def test_days_are_dates_whatever_the_clocks_do() -> None:
    assert days_before(date(2027, 3, 15), date(2027, 3, 14)) == 1
    assert days_before(date(2028, 3, 1), date(2028, 2, 28)) == 2
    assert days_before(date(2027, 2, 6), date(2027, 2, 8)) == -2


def test_without_rows_there_are_no_dates() -> None:
    assert retained_spans((), event=date(2027, 2, 6), today=date(2027, 1, 6), total_minor=TOTAL) == []


def test_a_share_is_rounded_half_up_as_a_deposit_is() -> None:
    assert [retained_minor(total, RetainedRow(0, Decimal("0.5"))) for total in (1, 2, 3)] == [1, 1, 2]
    assert retained_minor(TOTAL, None) == 0
    assert RetainedSpan(None, None, None, 0).row is None


def _content(sent: int, rows: tuple[RetainedRow, ...] = TABLE) -> Any:
    event = SimpleNamespace(window_start=datetime(2027, 1, 30, 18, tzinfo=UTC))
    sent_at = datetime(2027, 1, sent, 9, tzinfo=UTC)
    facts = {"total_minor": TOTAL, "currency": "USD", "cancellation_table": rows}
    return SimpleNamespace(event=event, sent_at=sent_at, **facts)


def test_in_words_each_row_has_its_dates_its_share_and_its_amount() -> None:
    assert cancellation_rows(_content(4)) == [
        "Canceled on or before Friday, January 8, 2027: no charge.",
        "Canceled Saturday, January 9, 2027 to Friday, January 22, 2027: 30% of the total is charged ($275.12).",
        "Canceled Saturday, January 23, 2027 to Thursday, January 28, 2027: 50% of the total is charged ($458.53).",
        "Canceled on or after Friday, January 29, 2027: 100% of the total is charged ($917.05).",
    ]


def test_rows_whose_days_are_over_when_it_is_sent_are_left_out() -> None:
    assert cancellation_rows(_content(25))[0].startswith("Canceled on or before Thursday, January 28, 2027: 50%")
    assert cancellation_rows(_content(30)) == ["If it is canceled: 100% of the total is charged ($917.05)."]
    assert cancellation_rows(_content(4, ())) == []


def test_a_single_day_is_named_once() -> None:
    rows = (RetainedRow(2, Decimal("0.5")), RetainedRow(1, Decimal(1)))
    assert cancellation_rows(_content(4, rows))[1].startswith("Canceled on Thursday, January 28, 2027: 50%")
