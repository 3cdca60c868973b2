"""What is owed by age reads the same in the table and in the picture beside it."""

from catalog.web import display
from catalog.web.display import DisplaySettings, use
from orders.invoices.presenters import age_table
from orders.invoices.receivables import AGES, Age
from orders.records.money import from_minor


def test_each_age_has_its_words_documents_and_amount() -> None:
    ages = [Age(code, place, from_minor(place * 1000, "USD")) for place, code in enumerate(AGES)]
    with use(DisplaySettings(locale="en_US", currency="EUR")):
        table = age_table("USD", ages)
        rows = [(row.name, row.documents, display.minor(row.open)) for row in table.rows]
    assert rows == [
        ("not due yet", 0, "$0.00"),
        ("1 to 30 days", 1, "$10.00"),
        ("31 to 60 days", 2, "$20.00"),
        ("61 to 90 days", 3, "$30.00"),
        ("over 90 days", 4, "$40.00"),
    ]
    assert "not due yet: $0.00 on 0 documents" in table.picture
    assert "over 90 days late: $40.00 on 4 documents" in table.picture
