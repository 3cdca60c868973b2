"""The bookkeeper's list of payment requests and receipts: by month, with sums, as CSV and XLSX."""

import csv
import io
from datetime import date, timedelta

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from catalog.outbox.models import Outbox
from orders.invoices.models import PaymentPaper
from orders.invoices.papers import request_issue
from orders.invoices.payments import payment_reverse
from orders.register.paper_list import PaperMonth, month_asked
from orders.register.paper_services import papers_file_write
from tests.factories import BY
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, order_make, pay

pytestmark = pytest.mark.django_db
TODAY = date(2027, 1, 28)


def test_a_month_shows_its_papers_with_sums_and_files() -> None:
    order = order_make()
    request_issue(order_id=order.pk, mail=False, by=BY, at=LATER)
    pay(order, 10_000)
    wrong = pay(order, 2_500)
    payment_reverse(payment_id=wrong.pk, note="Wrong order.", by=BY, at=LATER)
    pay(order, 500, at=LATER + timedelta(days=31))
    books, address = signed_in("bookkeeper"), reverse("money-papers")
    words = text(books.get(address, {"month": "2027-01"}))
    assert all(number in words for number in ("PR-00001", "RC-00001", "RC-00002", order.number))
    assert "January 2027" in words
    assert "RC-00003" not in words
    assert "2 receipts: $125.00, of which $25.00 was reversed" in words
    assert "RC-00003" in text(books.get(address))  # the newest month
    assert "None in this month." in text(books.get(address, {"month": "2020-02"}))
    page = books.get(address, {"month": "2027-01"}).content.decode()
    first = PaymentPaper.objects.order_by("pk")[0]
    assert page.count(reverse("paper-pdf", args=[first.pk])) == 1

    made = books.get(reverse("money-papers-csv"), {"month": "2027-01"})
    rows = list(csv.reader(io.StringIO(made.content.decode("utf-8-sig"))))
    assert [row[1] for row in rows[1:4]] == ["PR-00001", "RC-00001", "RC-00002"]
    assert rows[2][8:] == ["100.00", ""]
    assert rows[3][8:] == ["25.00", "yes"]
    assert rows[-2][:2] + rows[-2][7:] == ["Control total, receipt", "2", "USD", "125.00", "25.00"]
    assert rows[-1][:2] == ["Control total, payment request", "1"]


def test_the_xlsx_is_written_by_the_outbox_with_the_same_rows() -> None:
    order = order_make()
    pay(order, 10_000)
    books = signed_in("bookkeeper")
    asked = books.post(f"{reverse('money-papers-xlsx')}?month=2027-01")
    assert asked.status_code == 302
    papers_file_write(row=Outbox.objects.get(kind="papers_file"), at=LATER)
    file = books.get(asked["Location"])
    sheet = load_workbook(io.BytesIO(b"".join(file.streaming_content))).active
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows[1][1] == "RC-00001"
    assert rows[1][8] == 100
    assert rows[-1][:2] == ["Control total, receipt", 1]


@pytest.mark.parametrize("text_", ["", "2027", "2027-13", "soon", "2027-1-1", "0000-01", "0001-01", "9999-12"])
def test_what_is_no_month_is_the_newest(text_: str) -> None:
    order_make()
    assert month_asked(text_, today=TODAY) == PaperMonth(date(2027, 1, 1))


def test_months_begin_and_end_as_the_calendar_has_them() -> None:
    leap = month_asked("2028-02", today=TODAY)
    assert (leap.first, leap.last) == (date(2028, 2, 1), date(2028, 2, 29))
    assert (leap.before, leap.after) == (date(2028, 1, 1), date(2028, 3, 1))


def test_the_kitchen_sees_no_money() -> None:
    assert signed_in("kitchen").get(reverse("money-papers")).status_code == 403
