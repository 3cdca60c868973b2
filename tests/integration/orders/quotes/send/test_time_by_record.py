"""The customer's page, its PDF and the labels say no other time out of the cold than the owner's record."""

import csv
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.documents.content import content_read
from orders.quotes.models import Quote
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, override_make
from tests.factories import BY, EVENT, NOW, draft_make, pdf_stored
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.quotes.draft.test_cold_windows import TART
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def sent(measured: str, **facts: Any) -> Quote:
    quote = draft_make(at=NOW, **facts)
    override_make(quote, measured=measured)
    return pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW))


def label(quote: Quote) -> dict[str, str]:
    quote_approve(quote_id=quote.pk, content_sha256=quote.content_sha256, name="I", evidence=ApprovalEvidence(), at=NOW)
    answer = signed_in("kitchen").get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")
    found = csv.DictReader(answer.content.decode("utf-8-sig").splitlines())
    return next(row for row in found if row["Dessert"].startswith("Custard tart"))


def test_a_shorter_time_in_the_record_is_the_one_that_is_said() -> None:
    cooling_kitchen_make(**DEEP)
    quote = sent("Probe at 2 h and 6 h. Out of the cold at most 90 min, then thrown away.")
    line = content_read(quote.content).lines[0]
    assert "At most 1 h 30 min out of the cold" in line.holding
    assert line.out_minutes == 90
    held = label(quote)["Holding and serving"]
    assert "At most 1 h 30 min" in held
    assert "4 h" not in held


def test_a_longer_time_in_the_record_leaves_the_rules_unsaid_or_takes_its_measured_one() -> None:
    cooling_kitchen_make(**DEEP)
    quote = sent("Probe on the table each hour; thrown away after 5 h.")
    line = content_read(quote.content).lines[0]
    assert "h out of the cold" not in line.holding
    assert line.out_minutes is None
    found = label(quote)
    assert "out of the cold" not in found["Holding and serving"]
    assert found["Serve by"] == ""


def test_a_record_without_such_a_time_changes_nothing() -> None:
    cooling_kitchen_make(**DEEP)
    line = content_read(sent("Probe at 2 h and 6 h").content).lines[0]
    assert "At most 4 h out of the cold" in line.holding


def test_a_record_made_after_sending_shortens_the_label() -> None:
    cooling_kitchen_make(**DEEP)
    quote = sent("Probe at 2 h and 6 h")
    override_make(quote, measured="Probe at 2 h; served within 2 h of leaving the cold")
    held = label(quote)["Holding and serving"]
    assert "At most 2 h out of the cold" in held
    assert "4 h" not in held


def test_the_words_of_the_product_itself_are_not_contradicted() -> None:
    cooling_kitchen_make()
    Product.objects.filter(code=TART).update(holding="Keep cold. Serve within 1 h.")
    catalog_changed()
    quote = draft_make(at=NOW)
    override_make(quote)
    line = content_read(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).content).lines[0]
    assert "4 h" not in line.holding
    assert line.out_minutes == 60
