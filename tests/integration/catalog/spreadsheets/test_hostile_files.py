"""Files that mean harm, as for price lists: each is refused with a sentence, or read; nothing breaks."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.presenters import stored_sentence
from orders.personal_data.retention import retention_apply
from tests import factories
from tests.hostile.price_lists import FILES
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_file_that_means_harm_is_read_or_refused_in_words(sheet: Sheet, name: str) -> None:
    kind, body, _ = FILES[name]
    found = sheet("recipes", body(), f"mine.{kind}")
    assert found.status in ("read", "choose", "unreadable")
    if found.status == "unreadable":
        assert stored_sentence(found.reading["problem"]).endswith(".")


@pytest.fixture
def owner(client: Client, sheet: Sheet) -> Client:
    client.force_login(factories.user_make())
    return client


def test_a_file_that_is_no_table_or_too_large_is_refused_by_the_form(owner: Client) -> None:
    for name, body, words in (
        ("a.pdf", b"x", "Choose a CSV or XLSX file."),
        ("a.csv", b"", "The file is empty. Choose another."),
        (
            "a.csv",
            b"x" * (5 * 1024 * 1024 + 1),
            "The file is larger than 5 MB. Save only the table and choose it again.",
        ),
    ):
        page = owner.post(reverse("spreadsheets"), {"holds": "recipes", "file": SimpleUploadedFile(name, body)})
        assert words in page.content.decode()
    assert not Spreadsheet.objects.exists()


@pytest.mark.parametrize(
    "address", ["spreadsheet-import", "spreadsheet-undo", "spreadsheet-correct", "spreadsheet-columns"]
)
@pytest.mark.parametrize("body", [b"Recipe,Amount,Ingredient\nA,1 g,Flour\n", b"nothing", b"\x00"])
def test_a_page_from_before_changes_nothing(owner: Client, sheet: Sheet, address: str, body: bytes) -> None:
    found = sheet("recipes", body)
    sent = {"step": "0", "amount": "0", "ingredient": "0", "head_row": "x", "row": "2", "amount-2": "9 g"}
    answer = owner.post(reverse(address, args=[found.pk]), sent)
    assert answer.status_code in (302, 409, 422)
    assert Spreadsheet.objects.get(pk=found.pk).lines == found.lines


def test_everything_of_a_file_can_be_done_on_its_page(owner: Client, sheet: Sheet) -> None:
    found = sheet("recipes", "Was,Wieviel,Wovon\nTeig,200 g,Flour\nGuss,,Milk\n")
    page = reverse("spreadsheet", args=[found.pk])
    assert "Choose the columns." in owner.get(page).content.decode()
    sent = {"step": found.step, "recipe": "0", "amount": "1", "ingredient": "2", "head_row": "1"}
    owner.post(reverse("spreadsheet-columns", args=[found.pk]), sent)
    assert "Import 1 record" in owner.get(page).content.decode()
    owner.post(reverse("spreadsheet-import", args=[found.pk]), {"step": found.step + 1})
    sent = {"step": found.step + 2, "row": "3", "amount-3": "2 floops"}
    answer = owner.post(reverse("spreadsheet-correct", args=[found.pk]), sent, follow=True)
    assert "Saved. 1 row is still to correct." in answer.content.decode()
    answer = owner.post(reverse("spreadsheet-undo", args=[found.pk]), {"step": found.step + 3}, follow=True)
    assert "The import is undone: 1 record is removed or as it was before." in answer.content.decode()
    answer = owner.post(reverse("spreadsheet-drop", args=[found.pk]), follow=True)
    assert "The file is discarded. Nothing was changed." in answer.content.decode()


@pytest.mark.parametrize("kind", ["recipes", "ingredients", "products", "customers"])
def test_an_export_is_a_file_to_save(owner: Client, kind: str) -> None:
    for ending in ("csv", "xlsx"):
        answer = owner.get(reverse("spreadsheet-export", args=[kind, ending]))
        assert (answer.status_code, answer["Content-Disposition"][:10]) == (200, "attachment")
    assert owner.get(reverse("spreadsheet-export", args=[kind, "exe"])).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_files_go_after_thirty_days_with_the_rows_about_people(sheet: Sheet) -> None:
    people, own = sheet("customers", "Name\nIda Holm\n"), sheet("recipes", "Recipe,Amount,Ingredient\nA,1 g,Flour\n")
    assert retention_apply(at=AT + timedelta(days=31), everything=False)["spreadsheet_file"] == 2
    stored = {one.pk: one for one in Spreadsheet.objects.all()}
    assert (bytes(stored[people.pk].body), stored[people.pk].lines, stored[people.pk].plan) == (b"", [], {})
    assert (stored[own.pk].grid, len(stored[own.pk].lines)) == ([], 1)
