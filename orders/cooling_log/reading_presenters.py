"""Readings of what cooled, in words."""

from django.utils.translation import gettext

from catalog.web import display
from orders.cooling_log.models import CoolingRecord, Reading
from orders.records.presenters import reading_words


def reading_sentence(reading: Reading) -> str:
    """Write a reading with its day: 41 °F on Sunday, December 13, 2026, 3:10 PM."""
    return gettext("%(reading)s on %(moment)s") % {
        "reading": reading_words(reading.celsius),
        "moment": display.moment(reading.at),
    }


def of_step(record: CoolingRecord | None, reading: str) -> str:
    """Write a reading with the step it is about, where what was measured cools more than once: “Chill”, 39 °F."""
    step = "" if record is None else record.step
    return gettext("“%(step)s”, %(reading)s") % {"step": step, "reading": reading} if step else reading
