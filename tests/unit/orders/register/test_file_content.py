"""The register's files: control totals are of one currency each, and what is added up is money."""

from datetime import date
from decimal import Decimal

import pytest

from catalog.outbox.lanes import lane_of
from orders.records.money import from_minor
from orders.register.file_content import Cell, FileContent, rate_text
from orders.register.files import XLSX_MOST
from orders.register.rows import Control, Controls, RegisterRow
from tests.plain_csv import content_of, csv_bytes

DAY = date(2027, 1, 6)
VAT, SALES = ("VAT, goods", Decimal("0.19")), ("Sales tax, goods", Decimal("0.0825"))


def row(number: str, currency: str, rate: tuple[str, Decimal], net: int, tax: int, *, open: int = 0) -> RegisterRow:  # noqa: A002 - as the row calls it
    amounts = [from_minor(minor, currency) for minor in (net, tax, net + tax, 0, net + tax)]
    return RegisterRow(
        "380",
        number,
        DAY,
        DAY,
        DAY,
        "Ida Fenwick",
        "",
        "O-00001",
        "",
        "",
        currency,
        *amounts,
        stands=("issued",),
        open=from_minor(open, currency),
        taxes={rate: (amounts[0], amounts[1])},
    )


DOLLARS = [row("I-00001", "USD", SALES, 100_00, 8_25), row("I-00002", "USD", SALES, 1, 0, open=1)]
EUROS = [row("I-00003", "EUR", VAT, 100_00, 19_00, open=119_00)]


def record(content: FileContent, cells: list[Cell]) -> dict[str, Cell]:
    return dict(zip(content.heads, cells, strict=True))


def test_documents_of_two_currencies_are_never_one_sum() -> None:
    dollars = Control("USD", *[from_minor(0, "USD")] * 6)  # type: ignore[arg-type]  # the six sums
    with pytest.raises(TypeError):
        dollars.add(EUROS[0])
    controls = Controls()
    for one in (*DOLLARS, *EUROS):
        controls.add(one)
    assert [(sums.currency, sums.documents) for sums in controls.sums()] == [("EUR", 1), ("USD", 2)]


def test_a_file_has_a_control_total_for_each_currency() -> None:
    content = content_of([*DOLLARS, *EUROS], standing=True)
    assert csv_bytes(content).count(b"\r\n") == 6
    content = content_of([*DOLLARS, *EUROS], standing=True)
    assert len(list(content.records)) == 3
    euros, dollars = (record(content, list(total)) for total in content.totals)
    assert (euros["Document"], euros["Number"], euros["Currency"]) == ("Control total", 1, "EUR")
    assert (euros["Total"], euros["Open"]) == (Decimal("119.00"), Decimal("119.00"))
    assert (dollars["Number"], dollars["Currency"], dollars["Net"]) == (2, "USD", Decimal("100.01"))
    assert euros["Tax VAT, goods 19%"] == Decimal("19.00")
    assert (euros["Taxable VAT, goods 19%"], dollars["Taxable Sales tax, goods 8.25%"]) == (100, Decimal("100.01"))
    assert dollars["Tax VAT, goods 19%"] == euros["Tax Sales tax, goods 8.25%"] == 0


def test_a_file_of_no_document_says_so() -> None:
    (total,) = content_of([], standing=False).totals
    assert total == ["Control total", 0, *[None] * 8, "", *[Decimal(0)] * 5]
    (standing,) = content_of([], standing=True).totals
    assert standing == [*total, None, Decimal(0)]
    assert csv_bytes(content_of([], standing=False)).endswith(b"Control total,0,,,,,,,,,,0,0,0,0,0\r\n")


@pytest.mark.parametrize(
    ("rate", "text"),
    [("0.0825", "8.25%"), ("0.07", "7%"), ("0.2", "20%"), ("0", "0%"), ("0.0800", "8%"), ("1", "100%")],
)
def test_a_rate_has_no_needless_zeros(rate: str, text: str) -> None:
    assert rate_text(Decimal(rate)) == text


def test_the_longest_xlsx_takes_at_most_half_of_its_lanes_time() -> None:
    milliseconds = 0.3  # for a document, read and written, on an idle core
    assert XLSX_MOST * milliseconds / 1000 <= lane_of("export_files").seconds / 2
    assert lane_of("register_file") == lane_of("export_files")
