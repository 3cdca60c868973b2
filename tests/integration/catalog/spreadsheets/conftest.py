"""A kitchen with a few ingredients, and spreadsheets that are uploaded and read."""

from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.services import spreadsheet_compare, spreadsheet_upload

AT = datetime(2026, 11, 2, 9, tzinfo=UTC)
Sheet = Callable[..., Spreadsheet]


def upload(holds: str, body: str | bytes, name: str = "mine.csv") -> Spreadsheet:
    """Upload a file and have it read."""
    content = body.encode() if isinstance(body, str) else body
    made = spreadsheet_upload(holds=holds, file_name=name, body=content, by="odile", at=AT)
    spreadsheet_compare(spreadsheet_id=made.pk)
    return Spreadsheet.objects.get(pk=made.pk)


@pytest.fixture
def sheet(db: None) -> Sheet:
    """Make the kitchen; return a function that uploads a spreadsheet and has it read."""
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    Ingredient.objects.create(code="flour", name="Flour", density=Decimal("0.53"), position=0)
    Ingredient.objects.create(code="milk", name="Milk", density=Decimal("1.03"), position=1)
    Ingredient.objects.create(code="eggs", name="Eggs", grams_each=Decimal("57"), position=2)
    Ingredient.objects.create(code="butter", name="Butter, unsalted", density=Decimal("0.96"), position=3)
    Ingredient.objects.create(code="box", name="Cake box", base="each", position=4)
    return upload
