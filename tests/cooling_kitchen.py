"""The small kitchen with what cooling asks for: compositions, molds, heights, and how warm the custard leaves."""

from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Step
from orders.quotes.cooling.measuring_content import Measuring, hours_of
from orders.quotes.cooling.reading_times import limits_read
from orders.quotes.cooling.selectors import ruled_table, table_units
from orders.quotes.cooling.services import OverrideData, cooling_overrides_record
from orders.quotes.models import CoolingOverride, Quote
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored
from tests.sending import quote_send_seen

#: Rows of the food table; saffron and the boxes have none.
ROWS = {
    "cream": "01053",
    "milk": "01077",
    "sugar": "19335",
    "egg": "01123",
    "butter": "01145",
    "flour": "20081",
    "walnut": "12155",
    "quince": "09252",
}


#: A tart so deep that it breaks the rule, and that a night is not enough.
DEEP: Final = {"diameter_cm": "25", "height_cm": "7.5", "leaves_c": "68"}
MEASURED: Final = (
    "Probe thermometer in the middle of the thickest piece, 2 h and 6 h after it leaves the heat. If it is too warm"
    " then: discard it"
)


def measuring(*hours: str, who: str = "Tomas", **parts: str) -> Measuring:
    """Return what Tomas measures of the thickest piece, after 2 and 6 hours where no others are given."""
    return Measuring(**{"what": "piece", **parts}, hours=tuple(map(Decimal, hours or ("2", "6"))), who=who)


def measuring_submitted(prefix: str, *hours: str, who: str = "Tomas", **parts: str) -> dict[str, str]:
    """Return the same as a form sends it."""
    parts = {"what": "piece", "too_warm": "discard", "who": "other", "who_else": who} | parts
    parts |= {f"hour_{number}": hour for number, hour in enumerate(hours or ("2", "6"))}
    return {f"{prefix}-{name}": value for name, value in parts.items()}


def override_make(quote: Quote, *, measured: str = "", at: datetime = NOW) -> None:
    """Record for everything on a quote that breaks the rule that Tomas measures it instead.

    With ``measured`` it is a record as they were before they were made of parts.
    """
    found = ruled_table(quote, table_units(quote), book_current())
    if measured:
        for one in found.broken:
            about = {f"{one.item.kind}_id": one.item.pk, "rule": one.rule[:200], "mark": one.mark}
            words = {"measured": measured, "measured_by": "Tomas", "recorded_by": BY, "recorded_at": at}
            CoolingOverride.objects.create(quote=quote, **about, **words)
        return
    limits = limits_read(found)
    # What has no limits is read once.
    hours = {one.item: tuple(hour or Decimal(1) for hour in hours_of(limits[one.item])) for one in found.broken}
    overrides = [OverrideData(item, Measuring("piece", each, "Tomas")) for item, each in hours.items()]
    cooling_overrides_record(quote_id=quote.pk, overrides=overrides, by=BY, at=at)


def sent_measured_make(*, pdf: bool = True, **facts: Any) -> Quote:
    """Return a quote that was sent; what breaks the rule, or nobody stated how it cools, is measured."""
    quote = draft_make(at=NOW, **facts)
    override_make(quote)
    quote = quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    return pdf_stored(quote) if pdf else quote


def cooling_kitchen_make(
    *, diameter_cm: str = "10", height_cm: str = "2.2", leaves_c: str = "80", air_c: str = "3", **profile: Any
) -> Product:
    """Import the small kitchen and let its custard tart cool: an hour on the rack, then the stated night.

    A bigger ``diameter_cm`` makes it a cake. ``profile`` sets columns of the kitchen.
    """
    kitchen_make(**profile)
    return cooling_steps_make(diameter_cm=diameter_cm, height_cm=height_cm, leaves_c=leaves_c, air_c=air_c)


def cooling_steps_make(
    *, diameter_cm: str = "10", height_cm: str = "2.2", leaves_c: str = "80", air_c: str = "3"
) -> Product:
    """Let the custard tart of the small kitchen cool."""
    for code, ndb in ROWS.items():
        Ingredient.objects.filter(code=code).update(ndb=ndb)
    Station.objects.filter(code="cold-room").update(air_c=Decimal(air_c))
    ring = Mold.objects.create(name="Tart ring", shape="round", diameter_cm=Decimal(diameter_cm), height_cm=Decimal(8))
    tart = Product.objects.get(code="custard-tart")
    Product.objects.filter(pk=tart.pk).update(mold=ring, fill_height_cm=Decimal(height_cm))
    tart.steps.filter(name="Bake").update(kind=Step.Kind.BAKE, temperature_c=None, leaves_c=Decimal(leaves_c))
    chilled = tart.steps.get(kind=Step.Kind.CHILL)
    ProductStep.objects.filter(pk=chilled.pk).update(position=chilled.position + 1)
    ProductStep.objects.create(
        product=tart, position=chilled.position, kind=Step.Kind.REST, name="Cool on the rack", minutes=Decimal(60)
    )
    catalog_changed()
    tart.refresh_from_db()
    return tart
