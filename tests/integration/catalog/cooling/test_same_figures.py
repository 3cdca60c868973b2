"""The range that is printed is the one that is computed, in the same words on pages, sheets and by the command."""

import json
import re
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdfium2 import PdfDocument

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.caution_presenters import band_words
from catalog.cooling.selectors import cold_times
from catalog.cooling.words import fast_time, likely_time, slow_time
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product
from catalog.web import display
from costing.chilling import LATER, SOONER
from orders.documents.models import PreparedFile
from tests.cooling_kitchen import DEEP, cooling_kitchen_make
from tests.factories import EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
DAY = f"?first={EVENT.date()}&last={EVENT.date()}"


@pytest.fixture
def tart() -> Product:
    """A tart so deep that it is not cold in time, and an order of it."""
    found = cooling_kitchen_make(**DEEP)
    order_make()
    return found


@pytest.fixture
def client() -> Client:
    return signed_in("owner")


def by_command(tart: Product) -> dict[str, float]:
    """Return when it is cold, as the command prints it [min]."""
    out = StringIO()
    call_command("cooling", "--product", tart.code, stdout=out)
    (cold,) = (one for one in json.loads(out.getvalue())["minutes_to"] if one["c"] == 5.0)
    return dict(cold)


def test_each_place_of_the_page_gives_the_times_of_the_command_alike(tart: Product, client: Client) -> None:
    cold = by_command(tart)
    fast, likely, slow = fast_time(cold["fast"]), likely_time(cold["likely"]), slow_time(cold["slow"])
    page = text(client.get(reverse("product-cooling", args=[tart.pk])))
    assert f"after about {likely} ({fast} at the fastest, {slow} at the slowest)" in page
    assert f"It is at 41 °F after about {likely}: at the fastest {fast}, at the slowest {slow}." in page
    assert f"41 °F {fast} {likely} {slow}" in page
    assert f"Cooling to 41 °F, at the slowest {slow}" in page


def test_the_sheet_asks_for_the_slow_end_of_the_same_estimate(tart: Product, client: Client) -> None:
    (time,) = cold_times([tart.code], book_current())[tart.code].times
    assert time.slow is not None
    # An hour of it is in the room, before it goes into the cold.
    assert time.slow + 60 == -(-by_command(tart)["slow"] // 1)
    assert f"{display.duration(time.slow)} until its core is at 41 °F" in text(client.get(reverse("sheet-cold") + DAY))


def test_page_and_sheet_print_one_width_of_the_range(tart: Product, client: Client) -> None:
    band = band_words()
    assert f"{SOONER[0]} to {SOONER[1]}%" in band
    assert f"{LATER[0]} to {LATER[1]}%" in band
    for address in (reverse("product-cooling", args=[tart.pk]), reverse("sheet-cold") + DAY):
        assert f"ypically {band}. In a full or warm refrigerator it is later still" in text(client.get(address)), (
            address
        )


def test_the_verdict_is_the_same_on_the_page_the_sheets_and_in_writing(tart: Product, client: Client) -> None:
    assert "Does not meet the rule." in text(client.get(reverse("product-cooling", args=[tart.pk])))
    for name in ("sheet-cold", "sheet-prep"):
        assert "Not cold in time by its steps." in text(client.get(reverse(name) + DAY)), name
    assert "by the estimate the cooling rule is not met" in text(client.get(reverse("procedure")))


#: Temperatures and times as pages and papers print them.
FIGURES = re.compile(r"\d[\d.,]*\s(?:°[FC]|h|min|hours?|minutes?|days?)\b")


def figures(words: str) -> set[str]:
    return {" ".join(one.split()) for one in FIGURES.findall(words)}


def test_the_pdf_of_one_product_prints_the_figures_of_its_page(tart: Product, client: Client) -> None:
    Product.objects.exclude(pk=tart.pk).update(active=False)
    catalog_changed()
    client.post(reverse("procedure-pdf"))
    row = Outbox.objects.get(kind="procedure_file")
    assert outbox_run(row_id=row.pk, at=timezone.now())
    file = PreparedFile.objects.get(kind="procedure_file")
    answer = client.get(reverse("procedure-file", args=[file.pk]))
    with PdfDocument(b"".join(answer.streaming_content)) as pdf:  # type: ignore[arg-type]  # a stream
        printed = " ".join(" ".join(page.get_textpage().get_text_range() for page in pdf).split())
    shown = text(client.get(reverse("procedure")))
    assert tart.name in printed
    assert "by the estimate the cooling rule is not met" in printed
    assert figures(shown)
    assert figures(shown) <= figures(printed)
