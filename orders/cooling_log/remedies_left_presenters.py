"""What still helps a batch that is not cold in time, by the hours that are left, else that it is discarded."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batch_dividing import Dividing
from catalog.web import display
from costing.chilling import Leg, due_times
from orders.cooling_log.together import Together

SECOND_TRY: Final = marked(
    "The US Food Code's cooling section does not mention a second attempt. Forms of health departments reheat to "
    "165 °F (74 °C) and cool once more, or discard. Ask yours; in doubt, discard."
)


def second_try_words(leaves: datetime, legs: Sequence[Leg], now: datetime) -> str:
    """Write what may be done with what did not keep its rule; a second attempt only where its time is left."""
    whole = max((minutes for _, minutes in due_times(legs)), default=0.0)
    if leaves - now >= timedelta(minutes=whole):
        return gettext(SECOND_TRY)
    text = gettext(
        "No time is left to reheat it and cool it once more before it leaves: by the rule that takes up to %(time)s. "
        "Discard it. In doubt ask your local health department."
    )
    return text % {"time": display.duration(whole)}


#: Nothing that was tried makes it cold before it is used.
TOO_LATE: Final = marked(
    "In the time that is left no way of dividing it makes it cold: measure it, and discard it if it passes a limit. In "
    "doubt ask your local health department."
)


def ways_left(together: Together) -> list[str]:
    """Write the ways with which a batch is cold before it is used; to make it separately only where no other is."""
    ways = list(_ways(together.ways))
    return ways or ([gettext("make it separately for each order")] if together.apart else [])


def _ways(found: Dividing) -> Iterator[str]:
    if found.batches is not None:
        yield gettext("make it in %(count)s batches, about %(time)s until the last is cold") % {
            "count": found.batches,
            "time": display.duration(found.minutes),
        }
    if found.vessels is not None:
        words = {"count": found.vessels, "vessel": found.vessel}
        yield gettext("divide it over %(count)s × %(vessel)s") % words
