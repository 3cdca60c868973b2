"""The recipe sheet says of a hot batch what the cold-room list says: vessel, depth, the longer time, the verdict."""

import pytest
from django.urls import reverse

from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


def test_the_recipe_sheet_has_vessel_depth_the_longer_time_and_the_verdict() -> None:
    batch_kitchen_make(profile={"height_cm": "1.2"})
    order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    period = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    client = signed_in("kitchen")
    cold = " ".join(client.get(reverse("sheet-cold"), period).content.decode().split())
    sheet = " ".join(client.get(reverse("sheet-recipes"), period).content.decode().split())
    assert "2 × Tub, " in sheet
    assert " deep" in sheet
    assert "<strong>Does not meet the rule.</strong>" in sheet
    lasts = sheet.split("at least ")[1].split(", until its core is at 41 °F")[0]
    assert lasts in cold
    assert "Cool to 70 °F within 2 h, 41 °F within 6 h after leaving the heat." in sheet
