"""A batch that keeps the rule only in more vessels than the kitchen has: marked at review and on every sheet."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.amounts import batch_amounts
from catalog.cooling.batch_reports import batch_colds
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel
from orders.orders.models import Order
from orders.quotes.cooling.selectors import broken, not_judged
from orders.quotes.draft.dessert_table import DessertTable
from orders.quotes.models import Quote
from orders.records.errors import CoolingRuleBroken
from orders.records.states import QuoteStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import MEASURED, override_make
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
TARTS = {"custard-tart": 48}


def kitchen(owned: int | None = 1) -> Recipe:
    """Boiled custard that is spread so thin in tubs that it keeps the rule; the tarts themselves keep it."""
    custard = batch_kitchen_make(depth_cm=Decimal(1), profile={"diameter_cm": "12", "height_cm": "1.2"})
    Vessel.objects.filter(name="Tub").update(owned=owned)
    catalog_changed()
    return custard


def needed() -> int:
    """Return how many tubs it takes for the table."""
    ((cycle,),) = [[each.cycle for each in cold.times] for cold in batch_colds([("custard", _grams())], book_current())]
    assert cycle.plan.fill is not None
    return cycle.plan.fill.count


def _table() -> DessertTable:
    return table_make(lines=(line_make("custard-tart", 48),), extras=())


def _grams() -> Fraction:
    return dict(batch_amounts(TARTS, book_current()))["custard"]


def test_it_stops_like_a_broken_rule_and_says_how_many_it_needs() -> None:
    custard = kitchen()
    (one,) = broken(TARTS, book_current())
    assert (one.item.pk, one.why) == (custard.pk, "more_than_owned")
    quote: Quote = draft_make(table=_table())
    page = signed_in("owner").get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert f"Needs {needed()} × Tub, and the kitchen has 1." in page
    with refused(CoolingRuleBroken, match="^Baked custard"):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    override_make(quote)
    assert quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).status == QuoteStatus.SENT


def test_enough_of_them_stop_nothing() -> None:
    kitchen(owned=40)
    assert broken(TARTS, book_current()) == ()
    assert not_judged(TARTS, book_current()) == ()


def test_where_nobody_entered_how_many_there_are_it_is_not_known_and_leads_to_the_field() -> None:
    custard = kitchen(owned=None)
    assert broken(TARTS, book_current()) == ()
    (one,) = not_judged(TARTS, book_current())
    assert (one.name, one.missing.reason.code, one.missing.kind) == ("Baked custard", "owned_unknown", "vessel")
    client = signed_in("owner")
    page = client.get(reverse("inquiry", args=[draft_make(table=_table()).inquiry_id])).content.decode()
    assert "How many Tub the kitchen has is not entered" in page
    assert f'href="{reverse("vessels")}"' in page
    tub = Vessel.objects.get(name="Tub")
    cools = client.get(reverse("recipe-cooling", args=[custard.pk]), {"amount": "5 lb"}).content.decode()
    assert f'href="{reverse("vessel-edit", args=[tub.pk])}#id_owned"' in cools
    assert "not entered" in client.get(reverse("vessels")).content.decode()


def test_batch_page_and_sheets_do_not_read_as_if_it_kept_the_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    custard = kitchen()
    order_make(table=_table())
    order = Order.objects.latest("pk")
    sentence = f"Needs {needed()} × Tub, and the kitchen has 1."
    monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)
    client, period = signed_in("kitchen"), {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    page = client.get(reverse("recipe-cooling", args=[custard.pk]), {"amount": f"{float(_grams())} g"}).content.decode()
    assert f"<strong>{sentence}</strong>" in page
    for name in ("sheet-prep", "sheet-cold"):
        sheet = " ".join(client.get(reverse(name), period).content.decode().split())
        assert f"<strong>{sentence}</strong>" in sheet, name
        assert f"{sentence.rstrip('.')}. Measure: {MEASURED}. By Tomas." in sheet, name
    shown = " ".join(client.get(reverse("order-batches", args=[order.pk])).content.decode().split())
    assert f"<strong>{sentence}</strong>" in shown
