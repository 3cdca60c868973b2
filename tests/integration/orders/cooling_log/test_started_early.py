"""What was made after production was started can be recorded, however early that was."""

from dataclasses import replace
from datetime import timedelta

import pytest

from orders.cooling_log.models import Reading
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.records.cooling_errors import BeforePlannedDay, NotMadeYet
from tests.factories import BY
from tests.integration.orders.cooling_log.measuring import START, celsius, deep_order, tart
from tests.refusals import refused
from tests.starting import order_start, started_long_before

pytestmark = pytest.mark.django_db
EARLY = START - timedelta(days=20)


def test_a_record_of_the_day_of_the_start_is_taken() -> None:
    order = deep_order()
    readings = [Reading(EARLY + timedelta(hours=hours), celsius(degrees)) for hours, degrees in ((1.5, 68), (5, 40))]
    data = RecordData(tart(), readings, "met", started_at=EARLY, part=0)
    at = EARLY + timedelta(hours=6)
    with refused(NotMadeYet, match="is too early"):
        cooling_record_add(order_id=order.pk, data=data, by="tomas", at=at)
    started_long_before(order, at=EARLY)
    with refused(BeforePlannedDay, match="is an earlier batch"):
        cooling_record_add(order_id=order.pk, data=data, by="tomas", at=at)
    data = replace(data, made_from=True)
    assert cooling_record_add(order_id=order.pk, data=data, by="tomas", at=at).outcome == "met"


def test_an_order_in_production_is_asked_for_no_start() -> None:
    order = deep_order()
    data = RecordData(tart(), [Reading(EARLY, celsius(68))], "cooling", started_at=EARLY, part=0)
    with refused(NotMadeYet, match="choose “Start production” on the order’s page first"):
        cooling_record_add(order_id=order.pk, data=data, by="tomas", at=EARLY + timedelta(hours=6))
    order_start(order_id=order.pk, by=BY, at=START)
    with refused(NotMadeYet, match="If it was made for another order, record it there") as found:
        cooling_record_add(order_id=order.pk, data=data, by="tomas", at=EARLY + timedelta(hours=6))
    assert found.value.params["started"] == "started"
