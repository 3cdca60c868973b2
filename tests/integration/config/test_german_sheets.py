"""The German kitchen's sheets have a decimal comma in every figure."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from config.demo import courses, year
from config.demo.days import saturday
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.config.test_demo_kitchen import taken_over
from tests.integration.orders.register.test_register import signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.xdist_group("demo kitchen")]

#: Points that are no decimal signs: of thousands, before a unit that never has thousandths, and of numbered sections.
THOUSANDS = re.compile(r"\b\d{1,3}(\.\d{3})+(,\d+)?(?=\s(g|€|ml)\b|\s€)")
SHEETS = ("shopping", "recipes", "prep", "oven", "cold", "handover", "labels")


def test_no_figure_of_the_german_kitchens_sheets_has_a_decimal_point(monkeypatch: pytest.MonkeyPatch) -> None:
    now = datetime(2026, 11, 28, 14, 30, tzinfo=UTC)
    monkeypatch.setattr(timezone, "now", lambda: now)
    monkeypatch.setattr("orders.documents.store.pdf_of", lambda *_, **__: b"%PDF-1.7 in place of a quote")
    taken_over("eu")
    days = timezone.localtime(now).date() + timedelta(days=20), timezone.localtime(now).date() + timedelta(days=40)
    # A week apart: there is one van, and all are delivered at the same hour.
    for week, (number, table) in enumerate(((201, 0), (202, 2), (203, 4))):
        story = year._story(number, saturday(days[0] + timedelta(weeks=week)))
        courses.at_once(courses.to_order(replace(story, table=table)))
    client = signed_in("owner")
    wrong = []
    for sheet in SHEETS:
        address = reverse(f"sheet-{sheet}")
        answer = client.get(address, {"first": days[0].isoformat(), "last": days[1].isoformat()})
        assert answer.status_code == 200
        text = THOUSANDS.sub("", page_text(answer))
        wrong += [f"{sheet}: {found}" for found in re.findall(r".{20}\d\.\d.{20}", text)]
    assert wrong == [], "\n".join(wrong)
