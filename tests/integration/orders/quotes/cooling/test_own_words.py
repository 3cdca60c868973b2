"""What is measured is chosen, with whom and when: no words of anybody's stand for a thermometer."""

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from orders.orders.models import Order
from orders.quotes.cooling.measuring_content import TOO_WARM, WHAT
from orders.quotes.cooling.measuring_forms import MeasuringForm
from orders.quotes.cooling.selectors import ruled_now
from orders.quotes.cooling.services import OverrideData, cooling_overrides_record
from orders.quotes.models import CoolingOverride
from orders.records.cooling_errors import MeasureMissing
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, measuring, measuring_submitted, override_make
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.quotes.cooling.drafts import drafted
from tests.refusals import refused


@pytest.mark.django_db
@pytest.mark.parametrize("own", [{"what": "other"}, {"what": "looks fine"}, {"too_warm": "other"}])
def test_another_way_is_none(own: dict[str, str]) -> None:
    cooling_kitchen_make(**DEEP)
    quote = drafted()
    (one,) = ruled_now(quote).broken
    with refused(MeasureMissing, match="Choose what is measured instead for Custard tart, 10 cm."):
        data = OverrideData(one.item, measuring(**own))
        cooling_overrides_record(quote_id=quote.pk, overrides=[data], by=BY, at=NOW)
    assert not CoolingOverride.objects.exists()


@pytest.mark.django_db
@given(words=st.text(max_size=400), who=st.text(max_size=100), hour=st.text(max_size=20))
def test_whatever_is_sent_only_what_is_on_the_list_is_taken(words: str, who: str, hour: str) -> None:
    data = measuring_submitted("x", hour, what=words, what_else=words, too_warm_else=words, who=who)
    form = MeasuringForm(data, name="Tart", limits=[(21.0, 120.0)], prefix="x", optional=False)
    found = form.measuring()
    assert found is None or (found.what in WHAT and found.too_warm in TOO_WARM)
    assert found is not None or form.errors


@pytest.mark.django_db
def test_words_of_older_records_are_shown_as_the_owners_and_not_as_a_measurement() -> None:
    cooling_kitchen_make(**DEEP)
    owner, quote = signed_in("owner"), drafted()
    override_make(quote, measured="By the dog")
    pages = [text(owner.get(reverse(name, args=[quote.pk]))) for name in ("quote-send", "quote-cooling")]
    assert all("The owner’s words, not a measurement" in page for page in pages)
    assert not any("Measured instead: “By the dog”" in page or "Measured instead." in page for page in pages)
    override_make(quote)
    assert "Measured instead." in text(owner.get(reverse("quote-send", args=[quote.pk])))


@pytest.mark.django_db
def test_the_order_asks_to_measure_what_only_words_were_recorded_for() -> None:
    cooling_kitchen_make(**DEEP)
    order = Order.objects.get(pk=order_make().pk)
    override_make(order.quote, measured="By the dog")
    page = text(signed_in("kitchen").get(reverse("order", args=[order.pk])))
    assert "Measure it. The owner’s words: “By the dog”, by Tomas." in page
    assert "Measure: By the dog" not in page
