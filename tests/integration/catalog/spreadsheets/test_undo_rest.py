"""What an undo of an import left because it was used goes later, once nothing uses it any more."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.recipes.models import Recipe, RecipeLine
from catalog.records.errors import SpreadsheetNotReady
from catalog.spreadsheets.imports import spreadsheet_undo
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.spreadsheets.conftest import AT, Sheet
from tests.integration.catalog.spreadsheets.test_recipes import BOOK, again, take
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def test_what_undoing_left_goes_once_nothing_uses_it_any_more(sheet: Sheet, client: Client) -> None:
    """Seen: what an undo had left could never be undone, not even after what used it was deleted."""
    found = sheet("recipes", BOOK)
    take(found)
    own = Recipe.objects.create(code="own", name="Own")
    RecipeLine.objects.create(recipe=own, component=Recipe.objects.get(name="Pastry cream"), amount="10 g")
    spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT)
    own.delete()
    user_make()
    client.login(username="maren", password=PASSWORD)
    assert "Undo the rest" in client.get(reverse("spreadsheet", args=[found.pk])).content.decode()
    sent = {"step": again(found).step}
    page = client.post(reverse("spreadsheet-undo", args=[found.pk]), sent, follow=True).content.decode()
    assert "Undo the rest" not in page
    assert "The import is undone: 2 records are removed or as they were before." in page
    assert not Recipe.objects.exists()
    with refused(SpreadsheetNotReady, match="the file is not imported"):
        spreadsheet_undo(spreadsheet_id=found.pk, by="odile", at=AT)
