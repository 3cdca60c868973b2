"""The register: sentences, totals to tick off, files no cell of which is a formula, constant queries."""

import csv
import io
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.documents.models import PreparedFile, PreparedPart
from orders.inquiries.models import Customer
from orders.invoices.models import Invoice
from orders.invoices.receivables import credits_held, not_invoiced, receivables_by_age
from orders.invoices.running_sums import issued_counted
from orders.invoices.schedule import scheduled_late
from orders.orders.services import order_cancel, order_deliver
from orders.personal_data.retention import retention_apply
from orders.records.money import add_up, from_minor, minor_units
from orders.register.filters import RegisterFilter, register
from orders.register.presenters import filter_sentence
from orders.register.selectors import register_page, register_rows
from orders.register.services import export_make
from orders.register.totals import register_totals
from tests.factories import BY, PASSWORD, customer_data, user_make
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
TODAY = LATER.date()


def signed_in(role: str) -> Client:
    user_make(role, name=role)
    client = Client()
    assert client.login(username=role, password=PASSWORD)
    return client


@pytest.fixture
def books() -> dict[str, Invoice]:
    """A paid, an open and a partly credited invoice."""
    paid, waiting, credited = order_make(), order_make(), order_make()
    documents = {"paid": invoice_make(paid), "open": invoice_make(waiting), "credited": invoice_make(credited)}
    pay(paid, documents["paid"].due_minor)
    line = documents["credited"].lines.filter(kind="line")[0]
    documents["note"] = credit(documents["credited"], {line.pk: 10_000}, at=LATER + timedelta(days=1))
    return documents


def numbers(**chosen: Any) -> list[str]:
    documents = register(RegisterFilter(**chosen), today=TODAY + timedelta(days=60))
    return sorted(str(document.number) for document in documents)


def write_the_file() -> None:
    """Let the outbox do what was asked last, and not the documents of all that the books rest on."""
    assert outbox_run(row_id=Outbox.objects.latest("pk").pk, at=timezone.now())


def xlsx(client: Client, query: str = "") -> bytes:
    """Ask for the register as XLSX, let the outbox write it, and download it."""
    asked = client.post(f"{reverse('money-register-xlsx')}?{query}")
    write_the_file()
    body: bytes = client.get(asked.url).getvalue()  # type: ignore[attr-defined]  # a redirect has it
    return body


def test_each_sentence_shows_its_documents(books: dict[str, Invoice]) -> None:
    assert numbers() == ["C-00001", "I-00001", "I-00002", "I-00003"]
    assert numbers(kind="381") == ["C-00001"]
    assert numbers(standing="open") == numbers(standing="overdue") == ["I-00002", "I-00003"]
    assert numbers(standing="paid") == ["I-00001"]
    assert numbers(first=TODAY + timedelta(days=1)) == ["C-00001"]
    assert numbers(last=TODAY) == ["I-00001", "I-00002", "I-00003"]
    assert numbers(find="I-00002") == ["I-00002"]
    assert numbers(find="fenwick", kind="381") == ["C-00001"]


def test_what_is_in_no_export_yet_is_shown_by_itself(books: dict[str, Invoice]) -> None:
    assert numbers(exported="no") == ["C-00001", "I-00001", "I-00002", "I-00003"]
    export_make(first_day=TODAY, last_day=TODAY, currency="USD", by=BY, at=LATER)
    assert numbers(exported="no") == ["C-00001"], "issued a day later"
    assert numbers(exported="") == ["C-00001", "I-00001", "I-00002", "I-00003"]


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({}, "Invoices and credit notes"),
        (
            {"kind": "380", "standing": "open", "first": date(2027, 1, 1), "last": date(2027, 1, 31)},
            "Invoices issued in January 2027, not paid",
        ),
        (
            {"first": date(2027, 1, 2), "exported": "no"},
            "Invoices and credit notes issued on or after Saturday, January 2, 2027, not exported yet",
        ),
        ({"last": date(2027, 1, 2)}, "Invoices and credit notes issued on or before Saturday, January 2, 2027"),
    ],
)
def test_a_filter_reads_as_a_sentence(chosen: dict[str, Any], words: str) -> None:
    assert filter_sentence(RegisterFilter(**chosen)) == words


def test_totals_count_credit_notes_below_zero(books: dict[str, Invoice]) -> None:
    (sums,) = register_totals(RegisterFilter(), today=TODAY)
    note = books["note"]
    invoices = [books[name] for name in ("paid", "open", "credited")]
    assert (sums.invoices, sums.notes) == (3, 1)
    assert minor_units(sums.total) == sum(invoice.total_minor for invoice in invoices) - note.total_minor
    assert sums.net + sums.tax == sums.total
    assert minor_units(sums.open) == books["open"].due_minor + books["credited"].due_minor - note.total_minor
    assert add_up((one.taxable for one in sums.taxes), "USD") == sums.net
    assert add_up((one.tax for one in sums.taxes), "USD") == sums.tax


def test_taxes_of_one_name_and_rate_are_one_row_less_what_was_credited(books: dict[str, Invoice]) -> None:
    (sums,) = register_totals(RegisterFilter(), today=TODAY)
    taxes: dict[tuple[str, Decimal], tuple[int, int]] = {}
    for document in books.values():
        sign = -1 if document == books["note"] else 1
        for tax in document.taxes.all():
            taxable, charged = taxes.get((tax.tax_name, Decimal(tax.rate)), (0, 0))
            taxes[tax.tax_name, Decimal(tax.rate)] = (
                taxable + sign * tax.taxable_minor,
                charged + sign * tax.tax_minor,
            )
    assert len(taxes) > 1
    found = [((one.name, one.rate), (minor_units(one.taxable), minor_units(one.tax))) for one in sums.taxes]
    assert found == sorted(taxes.items())


def test_a_document_without_a_tax_adds_none_to_the_totals(books: dict[str, Invoice]) -> None:
    (before,) = register_totals(RegisterFilter(), today=TODAY)
    empty = Invoice.objects.create(
        order=books["paid"].order,
        number="I-90000",
        status="paid",
        created_at=LATER,
        issued_at=LATER,
        issued_on=TODAY,
        supply_on=TODAY,
        currency="USD",
    )
    issued_counted(empty)
    (after,) = register_totals(RegisterFilter(), today=TODAY)
    assert (after.invoices, after.taxes, after.total) == (before.invoices + 1, before.taxes, before.total)
    (row,) = register_rows(Invoice.objects.filter(pk=empty.pk), standing=True)
    assert (row.number, row.taxes, row.total) == ("I-90000", {}, from_minor(0, "USD"))


def test_more_documents_take_no_more_queries(
    books: dict[str, Invoice], django_assert_max_num_queries: Any, django_assert_num_queries: Any
) -> None:
    def read() -> list[Invoice]:
        documents = register(RegisterFilter(), today=TODAY)
        register_totals(RegisterFilter(), today=TODAY)
        return list(register_page(documents))

    with django_assert_num_queries(5):
        assert len(read()) == 4
    invoice_make(order_make())
    with django_assert_num_queries(5):
        assert len(read()) == 5


def test_the_csv_is_rfc_4180_with_numbers_as_numbers(books: dict[str, Invoice]) -> None:
    response = signed_in("bookkeeper").get(reverse("money-register-csv"))
    assert response["Content-Disposition"].startswith('attachment; filename="register-')
    body = response.getvalue()
    assert body.startswith(b"\xef\xbb\xbfDocument,Number,Issued")
    assert body.count(b"\r\n") == body.count(b"\n") == 6
    rows = list(csv.DictReader(io.StringIO(body.decode("utf-8-sig"))))
    assert [row["Number"] for row in rows] == ["I-00001", "I-00002", "I-00003", "C-00001", "4"]
    assert rows[3]["Total"] == f"-{books['note'].total_minor / 100:.2f}"
    assert rows[3]["Credits invoice"] == "I-00003"
    totals = rows.pop()
    assert totals["Document"] == "Control total"
    for column in ("Net", "Tax", "Total", "Open"):
        assert round(sum(float(row[column] or 0) for row in rows), 2) == float(totals[column])
    for row in rows:
        taxes = sum(float(row[name]) for name in row if name.startswith("Tax ") and name.endswith("%"))
        assert round(taxes, 2) == float(row["Tax"])


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "  =", "＝"])
def test_no_name_becomes_a_formula(start: str) -> None:
    order = order_make(customer=customer_data(name=f'{start}HYPERLINK("x")'))
    invoice_make(order)
    client = signed_in("owner")
    text = client.get(reverse("money-register-csv")).getvalue().decode("utf-8-sig")
    name = next(csv.DictReader(io.StringIO(text)))["Customer"]
    assert name.startswith("'")
    sheet = load_workbook(io.BytesIO(xlsx(client))).active
    assert sheet is not None
    cells = [cell for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert any(isinstance(cell.value, str) and "HYPERLINK" in cell.value for cell in cells)


def test_the_xlsx_has_numbers_and_dates(books: dict[str, Invoice]) -> None:
    sheet = load_workbook(io.BytesIO(xlsx(signed_in("bookkeeper")))).active
    assert sheet is not None
    heads = [cell.value for cell in sheet[1]]
    first = dict(zip(heads, sheet[2], strict=True))
    assert first["Total"].data_type == "n"
    assert round(first["Total"].value * 100) == books["paid"].total_minor
    assert first["Issued"].is_date
    assert first["Issued"].value.date() == TODAY
    assert sheet.cell(sheet.max_row, 1).value == "Control total"


def test_what_is_owed_is_sorted_by_age(books: dict[str, Invoice]) -> None:
    due = books["open"].due_on
    assert due is not None
    owed = books["open"].due_minor + books["credited"].due_minor - books["note"].total_minor
    for days, place in ((-3, 0), (0, 0), (1, 1), (30, 1), (31, 2), (60, 2), (61, 3), (90, 3), (91, 4), (900, 4)):
        ages = receivables_by_age(today=due + timedelta(days=days), currency="USD")
        assert [minor_units(age.open) for age in ages] == [owed if at == place else 0 for at in range(5)]
        assert ages[place].documents == 2


def test_deposits_that_are_late_are_named_until_they_come() -> None:
    order = order_make()
    assert order.deposit_due_on is not None
    late = order.deposit_due_on + timedelta(days=1)
    assert [one.order for one in scheduled_late(today=order.deposit_due_on)] == []
    pay(order, order.deposit_minor - 1, "deposit")
    assert [one.order for one in scheduled_late(today=late)] == [order]
    pay(order, 1, "deposit")
    assert [one.order for one in scheduled_late(today=late)] == []


def test_money_that_waits_for_its_invoice_is_no_credit() -> None:
    ahead, canceled, retained, over = order_make(), order_make(), order_make(), order_make()
    for order in (ahead, canceled, retained):
        pay(order, order.deposit_minor, "deposit")
    order_cancel(order_id=canceled.pk, reason="Off.", money="refund", by=BY, at=LATER)
    order_cancel(order_id=retained.pk, reason="Off.", money="keep", by=BY, at=LATER)
    pay(over, invoice_make(over).due_minor + 700)
    assert {row.order.pk: row.amount for row in credits_held()} == {
        canceled.pk: from_minor(canceled.deposit_minor, "USD"),
        over.pk: from_minor(700, "USD"),
    }


def test_what_was_delivered_and_not_invoiced_is_named() -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    assert list(not_invoiced()) == [order]
    invoice = invoice_make(order)
    assert list(not_invoiced()) == []
    credit(invoice)
    assert list(not_invoiced()) == [order]


@pytest.mark.parametrize(
    "query",
    [
        "first=never&last=2027-13-41",
        "kind=999&standing=x&exported=y&page=-4",
        "page=99999999999999999999&find=%00%ff",
        "first=2027-02-01&last=2027-01-01",
        "find=" + "x" * 5000,
    ],
)
@pytest.mark.parametrize("name", ["money-register", "money-payments", "money-due", "money-exports"])
def test_odd_addresses_are_answered(name: str, query: str) -> None:
    Customer.objects.count()
    assert signed_in("bookkeeper").get(f"{reverse(name)}?{query}").status_code == 200


def test_what_is_longer_than_a_worksheet_is_refused_with_a_way_out(
    books: dict[str, Invoice], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("orders.register.views.XLSX_MOST", 3)
    client = signed_in("bookkeeper")
    answer = client.post(f"{reverse('money-register-xlsx')}?find=O-0", follow=True)
    assert "Narrow the filter, or use the CSV file." in answer.content.decode()
    assert "find=O-0" in answer.request["QUERY_STRING"]
    assert xlsx(client, "kind=381").startswith(b"PK")


def test_the_xlsx_is_written_by_the_outbox_while_the_page_waits(books: dict[str, Invoice]) -> None:
    client = signed_in("bookkeeper")
    asked = client.post(f"{reverse('money-register-xlsx')}?first={TODAY}&kind=380")
    assert not PreparedFile.objects.exclude(ready_at=None).exists(), "the request writes no file"
    waiting = client.get(asked.url)
    assert waiting.status_code == 202
    page = waiting.content.decode()
    assert "The file is being made" in page
    assert f'<noscript><meta http-equiv="refresh" content="3;url={asked.url}?look=1">' in page
    write_the_file()
    ready = client.get(f"{asked.url}?look=1")
    assert "It is ready." in ready.content.decode()
    file = client.get(asked.url)
    assert file["Content-Disposition"].startswith("attachment")
    sheet = load_workbook(io.BytesIO(file.getvalue())).active
    assert sheet is not None
    assert {cell.value for cell in sheet["A"]} == {"Document", "invoice", "Control total"}


def test_a_prepared_file_goes_after_two_days(books: dict[str, Invoice]) -> None:
    client = signed_in("bookkeeper")
    xlsx(client)
    now = timezone.now()
    assert retention_apply(at=now + timedelta(hours=47), everything=False)["prepared_file"] == 0
    assert retention_apply(at=now + timedelta(hours=49), everything=False)["prepared_file"] == 1
    assert not PreparedPart.objects.exists()


def test_a_number_is_found_by_its_beginning_and_by_its_digits(books: dict[str, Invoice]) -> None:
    assert numbers(find="i-0000") == ["I-00001", "I-00002", "I-00003"]
    assert numbers(find="C-") == ["C-00001"]
    order = books["open"].order
    assert numbers(find=order.number) == ["I-00002"]
    assert numbers(find="3") == sorted({"I-00003", *numbers(find="O-00003")})
    assert numbers(find="I-00009") == numbers(find="9") == numbers(find="Q-00001") == []
