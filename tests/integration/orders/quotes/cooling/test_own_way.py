"""Whoever lets another way stand for a thermometer, or for discarding what is too warm, answers for it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.quotes.cooling.measuring_forms import MeasuringForm
from orders.quotes.cooling.selectors import ruled_now
from orders.quotes.cooling.services import OverrideData, cooling_overrides_record
from orders.quotes.models import CoolingOverride
from orders.records.cooling_errors import OwnWayUnanswered
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, measuring, measuring_submitted
from tests.factories import BY, NOW
from tests.integration.orders.quotes.cooling.drafts import drafted
from tests.refusals import refused

FEEL = {"what": "other", "what_else": "By feel"}
ANYWAY = {"too_warm": "other", "too_warm_else": "serve it anyway"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("own", "words", "place"),
    [
        (FEEL, "What is measured, another way: check the box", "-what_answered"),
        (ANYWAY, "If it is too warm then, another way: check the box", "-too_warm_answered"),
    ],
)
def test_another_way_is_not_recorded_until_it_is_answered_for(own: dict[str, str], words: str, place: str) -> None:
    cooling_kitchen_make(**DEEP)
    quote = drafted()
    (one,) = ruled_now(quote).broken
    with refused(OwnWayUnanswered, match=words) as found:
        data = OverrideData(one.item, measuring(**own))
        cooling_overrides_record(quote_id=quote.pk, overrides=[data], by=BY, at=NOW)
    assert found.value.place.endswith(place)
    assert not CoolingOverride.objects.exists()


@pytest.mark.django_db
def test_the_form_asks_for_both_check_marks_at_their_place() -> None:
    def form(**more: str) -> MeasuringForm:
        data = measuring_submitted("x", "2", **FEEL, **ANYWAY, **more)
        return MeasuringForm(data, name="Tart", limits=[(21.0, 120.0)], prefix="x", optional=False)

    assert set(form().errors) == {"what_answered", "too_warm_answered"}
    assert set(form(what_answered="on").errors) == {"too_warm_answered"}
    found = form(what_answered="on", too_warm_answered="on").measuring()
    assert found is not None
    assert found.text().endswith("“serve it anyway”. Without a thermometer reading, by the owner’s word")


@pytest.mark.django_db
@given(words=st.text(max_size=400), who=st.text(max_size=100), hour=st.text(max_size=20))
def test_whatever_is_entered_is_taken_whole_or_refused_with_a_sentence(words: str, who: str, hour: str) -> None:
    data = measuring_submitted("x", hour, what="other", what_else=words, what_answered="on", who=who)
    form = MeasuringForm(data, name="Tart", limits=[(21.0, 120.0)], prefix="x", optional=False)
    found = form.measuring()
    assert form.errors if found is None else 0 < len(found.text()) <= 300
