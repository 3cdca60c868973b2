"""A supplier's price list is read, checked and imported."""

import hashlib
import io
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_sweep
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.imports import Imported, price_list_import
from catalog.price_lists.models import PriceList
from catalog.price_lists.presenters import list_problems, problem_sentence
from catalog.price_lists.reader import table_of
from catalog.price_lists.reader_process import rows_read
from catalog.price_lists.services import price_list_compare, price_list_drop, price_list_upload
from catalog.records.errors import PackDatesOverlap, PriceListNotReady
from catalog.records.reasons import Reason, reason_to_json
from catalog.records.unreadable import Unreadable
from orders.personal_data.retention import retention_apply
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.refusals import refused

pytestmark = pytest.mark.django_db

AT = datetime(2026, 11, 2, 9, tzinfo=UTC)


@pytest.fixture(autouse=True)
def priced_goods() -> None:
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    quayside = Supplier.objects.create(name="Quayside")
    flour = Ingredient.objects.create(code="flour", name="Flour", density=Decimal("0.53"), position=0)
    Ingredient.objects.create(code="cream", name="Heavy cream", position=1)
    Ingredient.objects.create(code="box", name="Cake box", base="each", position=2)
    Pack.objects.create(
        ingredient=flour, size="50 lb", price=Decimal("24.60"), starts=date(2026, 1, 1), supplier=quayside
    )


def listed(text: str | bytes, name: str = "prices.csv") -> PriceList:
    body = text.encode() if isinstance(text, str) else text
    made = price_list_upload(
        supplier="Quayside", file_name=name, body=body, starts=date(2026, 11, 9), by="odile", at=AT
    )
    price_list_compare(price_list_id=made.pk)
    return PriceList.objects.get(pk=made.pk)


def workbook(*rows: tuple[object, ...]) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_the_preview_says_what_changes() -> None:
    found = listed("Item;Pack;Price\nFlour;50 lbs;26.10\nflour;5 lb;4.10\nCake box;50 each;44\n")
    assert found.status == "read"
    assert [(row["name"], row["size"], row["price"], row["change"], row["before"]) for row in found.rows] == [
        ("Flour", "50 lb", "26.1", "dearer", "24.6"),
        ("Flour", "5 lb", "4.1", "new", None),
        ("Cake box", "50 each", "44", "new", None),
    ]
    assert found.errors == []


def test_a_name_without_its_commas_is_known_where_only_one_can_be_meant() -> None:
    for place, name in enumerate(("Butter, unsalted", "Nuts, flaked", "Nuts / flaked"), start=3):
        Ingredient.objects.create(code=f"good-{place}", name=name, position=place)
    found = listed("Item;Pack;Price\nbutter unsalted;1 lb;4.10\nNuts-flaked;1 lb;9\n")
    assert [row["name"] for row in found.rows] == ["Butter, unsalted"]
    assert [(error["row"], error["column"]) for error in found.errors] == [(3, "item")]


def test_a_workbook_is_read_like_a_text_table() -> None:
    found = listed(workbook(("Code", "Size", "Net price"), ("flour", "50 lb", 23.2), (None, None, None)), "prices.xlsx")
    assert [(row["row"], row["price"], row["change"]) for row in found.rows] == [(2, "23.2", "cheaper")]


def test_errors_are_named_by_row_and_column() -> None:
    found = listed(
        "item,pack,price\nSaffron,1 g,9\nHeavy cream,1 quart,6\nFlour,a sack,20\nFlour,50 lb,cheap\n"
        "Cake box,2 kg,4\nFlour,10 lb,5\nFlour,10 lb,6\n"
    )
    problems = list_problems(found)
    assert [(problem.row, problem.column) for problem in problems] == [
        (2, "item"),
        (3, "pack"),
        (4, "pack"),
        (5, "price"),
        (6, "pack"),
        (8, "pack"),
    ]
    assert "Heavy cream has no density" in problems[1].message
    assert "is in row 7 already" in problems[5].message


def test_packs_and_prices_beyond_any_suppliers_are_errors() -> None:
    found = listed("item,pack,price\nFlour,99999999999999999999 lb,20\nFlour,50 lb,99999999999\n")
    assert [error["reason"]["code"] for error in found.errors] == ["pack_too_large", "too_dear"]


def test_rows_that_are_ready_are_imported_and_those_with_problems_wait() -> None:
    found = listed("item,pack,price\nFlour,50 lb,26.10\nSaffron,1 g,9\n")
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT) == Imported(prices=1, ingredients=0)
    assert Pack.objects.get(ends=None).price == Decimal("26.10")
    found.refresh_from_db()
    assert [(error["row"], error["column"]) for error in found.errors] == [(3, "item")]
    with refused(PriceListNotReady, match="imported already"):
        price_list_import(price_list_id=found.pk, by="odile", at=AT)


def test_an_import_keeps_history_and_happens_once() -> None:
    found = listed("item,pack,price\nFlour,50 lb,26.10\nCake box,50 each,44\n")
    revision = Kitchen.objects.get().revision
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT).prices == 2
    old, new = Pack.objects.filter(ingredient__code="flour").order_by("starts")
    assert (old.ends, new.starts, new.price) == (date(2026, 11, 8), date(2026, 11, 9), Decimal("26.10"))
    assert Kitchen.objects.get().revision == revision + 1
    with pytest.raises(PriceListNotReady):
        price_list_import(price_list_id=found.pk, by="odile", at=AT)


def test_an_import_takes_as_many_statements_for_many_rows_as_for_one(
    django_assert_max_num_queries: Callable[[int], AbstractContextManager[object]],
) -> None:
    found = listed("item,pack,price\n" + "".join(f"Flour,{pounds} lb,{pounds}\n" for pounds in range(1, 200)))
    with django_assert_max_num_queries(16):
        assert price_list_import(price_list_id=found.pk, by="odile", at=AT).prices == 199
    assert sorted(Pack.objects.values_list("position", flat=True)) == list(range(200))


def test_the_preferred_pack_stays_preferred_at_its_new_price() -> None:
    flour = Ingredient.objects.get(code="flour")
    Pack.objects.filter(ingredient=flour).update(preferred=True)
    Pack.objects.create(ingredient=flour, size="5 lb", price=Decimal(4), starts=date(2026, 1, 1), position=1)
    found = listed("item,pack,price\nFlour,50 lb,26.10\nFlour,5 lb,4.20\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    new = Pack.objects.filter(starts=date(2026, 11, 9))
    assert dict(new.values_list("size", "preferred")) == {"50 lb": True, "5 lb": False}


def test_a_price_recorded_since_the_preview_stops_the_whole_list() -> None:
    found = listed("item,pack,price\nCake box,50 each,44\nFlour,50 lb,26.10\n")
    flour = Ingredient.objects.get(code="flour")
    Pack.objects.create(
        ingredient=flour, size="50 lb", price=Decimal(25), starts=date(2026, 12, 1), supplier=Supplier.objects.get()
    )
    with refused(PackDatesOverlap, match="has a price from December 1, 2026"):
        price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert not Pack.objects.filter(ingredient__code="box").exists()
    assert PriceList.objects.get().status == "read"


def test_a_dropped_list_is_not_imported() -> None:
    found = listed("item,pack,price\nFlour,50 lb,26.10\n")
    price_list_drop(price_list_id=found.pk)
    with refused(PriceListNotReady, match="discarded"):
        price_list_import(price_list_id=found.pk, by="odile", at=AT)


@pytest.mark.parametrize(
    ("name", "body"),
    [
        ("prices.csv", b""),
        ("prices.csv", b"\x00\x01\x02\x03"),
        ("prices.csv", b"just words"),
        ("prices.csv", b"item,price\nFlour,3\n"),
        ("prices.csv", b"item,pack,price\n"),
        ("prices.csv", b'item,pack,price\n"' + b"a" * 200_000),
        ("prices.xlsx", b"not a workbook"),
        ("prices.xlsx", b"PK\x03\x04" + b"\x00" * 40),
    ],
)
def test_a_file_that_is_no_price_table_says_what_to_do(name: str, body: bytes) -> None:
    with pytest.raises(Unreadable) as unreadable:
        rows_read(name, body)
    assert re.search(r"\.", problem_sentence(Reason(unreadable.value.code, unreadable.value.params)))


def test_accents_in_older_encodings_are_read() -> None:
    rows = table_of("csv", "item;pack;price\nCrème fraîche épaisse de la vallée;1 kg;3,20\n".encode("cp1252")).rows
    assert rows[0].item.startswith("Crème fraîche")


def test_a_list_is_read_beside_the_pages_and_its_page_shows_it(client: Client) -> None:
    owner = signed_in(client, "owner")
    file = SimpleUploadedFile("prices.csv", b"item,pack,price\nFlour,50 lb,26.10\n")
    response = owner.post(reverse("price-lists"), {"supplier": "Quayside", "starts": "2026-11-09", "file": file})
    waits = owner.get(response["Location"]).content.decode()
    assert "The file is being read" in waits
    assert f'hx-get="{response["Location"]}"' in waits, "with scripts it looks again by itself"
    assert 'http-equiv="refresh"' in waits, "and without"
    outbox_sweep(at=timezone.now())
    page = owner.get(response["Location"]).content.decode()
    assert 'http-equiv="refresh"' not in page
    assert "Prices that will change" in page
    assert "26.1" in page
    read = PriceList.objects.get()
    imported = owner.post(reverse("price-list-import", args=[read.pk]), {"step": read.step}, follow=True)
    assert "1 price is imported." in imported.content.decode()
    assert Pack.objects.filter(price="26.1").exists()


def test_the_page_of_a_list_whose_reading_was_given_up_says_so_and_waits_no_longer(client: Client) -> None:
    uploaded = price_list_upload(
        supplier="Quayside",
        file_name="list.csv",
        body=b"item,pack,price\n",
        starts=date(2027, 1, 1),
        by="odile",
        at=datetime(2026, 12, 1, tzinfo=UTC),
    )
    why = reason_to_json(Reason("memory", {"error": "MemoryError"}))
    Outbox.objects.update(status=Outbox.Status.FAILED, error=why)
    page = signed_in(client, "owner").get(reverse("price-list", args=[uploaded.pk])).content.decode()
    assert "The file could not be read." in page
    assert "There was not enough memory." in page
    assert "being read" not in page
    assert "http-equiv" not in page
    assert reverse("price-list-drop", args=[uploaded.pk]) in page


def test_a_file_of_another_kind_is_refused_with_the_fix(client: Client) -> None:
    owner = signed_in(client, "owner")
    file = SimpleUploadedFile("prices.pdf", b"%PDF-1.7")
    response = owner.post(reverse("price-lists"), {"supplier": "Quayside", "starts": "2026-11-09", "file": file})
    assert "Choose a CSV or XLSX file." in response.content.decode()
    assert not PriceList.objects.exists()


def test_a_row_without_an_item_asks_for_one() -> None:
    price_list = listed("item,pack,price\n,1 lb,2\n")
    assert [problem.message for problem in list_problems(price_list)] == ["Write the ingredient's name or code."]


def test_another_file_of_the_same_supplier_is_uploaded_where_one_could_not_be_read(client: Client) -> None:
    price_list = listed("name,size\na,b\n")
    owner = signed_in(client, "owner")
    page = owner.get(reverse("price-list", args=[price_list.pk]))
    sent = {name: page.context["upload_form"][name].value() for name in ("supplier", "starts", "instead_of")}
    assert sent == {"supplier": "Quayside", "starts": date(2026, 11, 9), "instead_of": price_list.pk}
    assert f'<input type="hidden" name="instead_of" value="{price_list.pk}"' in page.content.decode()
    file = SimpleUploadedFile("again.csv", b"item,pack,price\nFlour,50 lb,26.10\n")
    answer = owner.post(reverse("price-lists"), sent | {"starts": "2026-11-09", "file": file})
    new = PriceList.objects.get(file_name="again.csv")
    assert answer["Location"] == reverse("price-list", args=[new.pk])
    price_list.refresh_from_db()
    assert (price_list.status, new.supplier) == ("dropped", price_list.supplier)


def test_a_slip_in_the_suppliers_name_goes_with_the_file_that_could_not_be_read() -> None:
    slip = price_list_upload(
        supplier="Quaysde", file_name="p.csv", body=b"x", starts=date(2026, 11, 9), by="odile", at=AT
    )
    price_list_compare(price_list_id=slip.pk)
    price_list_upload(
        supplier="Quayside",
        file_name="p.csv",
        body=b"item,pack,price\nFlour,50 lb,26\n",
        starts=date(2026, 11, 9),
        by="odile",
        at=AT,
        instead_of=slip.pk,
    )
    assert list(Supplier.objects.values_list("name", flat=True)) == ["Quayside"]
    assert PriceList.objects.count() == 1


def test_a_list_that_was_read_is_never_replaced() -> None:
    found = listed("item,pack,price\nFlour,50 lb,26\n")
    price_list_upload(
        supplier="Quayside",
        file_name="p.csv",
        body=b"x",
        starts=date(2026, 11, 9),
        by="odile",
        at=AT,
        instead_of=found.pk,
    )
    found.refresh_from_db()
    assert found.status == "read"


def test_the_file_of_an_old_list_goes_and_what_it_recorded_stays(client: Client) -> None:
    text = "item,pack,price\nFlour,50 lb,25.10\n"
    old, waiting = listed(text), listed(text, "waiting.csv")
    PriceList.objects.filter(pk=waiting.pk).update(status="waiting")
    assert retention_apply(at=AT + timedelta(days=364), everything=False)["price_list_file"] == 0
    assert retention_apply(at=AT + timedelta(days=366), everything=False)["price_list_file"] == 1
    found = PriceList.objects.get(pk=old.pk)
    assert bytes(found.body) == b""
    assert found.sha256 == hashlib.sha256(text.encode()).hexdigest()
    assert (found.file_name, found.uploaded_at, found.uploaded_by) == ("prices.csv", AT, "odile")
    assert (found.status, found.rows) == ("read", old.rows)
    price_list_compare(price_list_id=old.pk)
    assert PriceList.objects.get(pk=old.pk).rows == old.rows, "it is not read again"
    assert bytes(PriceList.objects.get(pk=waiting.pk).body) == text.encode(), "nobody has read it yet"
    page = signed_in(client, "owner").get(reverse("price-list", args=[old.pk])).content.decode()
    assert "Deleted on" in page


def test_missing_columns_are_named_as_a_sentence_does() -> None:
    words = problem_sentence(Reason("no_columns", {"missing": ["item", "pack", "price"]}))
    assert "missing: item, pack and price." in words
