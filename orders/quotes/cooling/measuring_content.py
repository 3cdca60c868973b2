"""What is measured instead of a cooling rule, in its parts, and the text that records store of them.

It is chosen, not written: nothing can judge whether somebody's own words measure anything. Older records have such
words, and are shown as the owner's own, never as what is measured.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import floor
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.selectors import kitchen
from catalog.web import display
from catalog.web.display.settings import kitchen_display
from costing.chilling import Leg, due_times
from orders.records.cooling_errors import (
    HourNotInTime,
    MeasureMissing,
    MeasurerMissing,
    NamesNobody,
)
from orders.records.errors import OrderError
from orders.records.real_words import names_somebody

#: The limits of a rule: how warm [°C], and by when after it leaves the heat [min].
Limits = Sequence[tuple[float, float]]

#: What is measured.
WHAT: Final[dict[str, str]] = {
    "piece": marked("Probe thermometer in the middle of the thickest piece"),
    "vessel": marked("Probe thermometer in the middle of the fullest vessel"),
    "logger": marked("Probe of a data logger in the middle of the thickest piece or the fullest vessel"),
}
#: What is done if it is too warm by then; the first is the safe one. What only hastens it does not help once a limit
#: has passed: common practice, no source.
TOO_WARM: Final[dict[str, str]] = {
    "discard": marked("discard it"),
    "ice_bath": marked("into an ice bath, and discard it if it passes a limit"),
    "divide": marked("divide it into shallower vessels, and discard it if it passes a limit"),
    "reheat": marked("reheat it once to 165 °F (74 °C) and cool it again, where your local code allows it"),
}
#: A rule of one stage leaves no second attempt; forms of health departments have it for the two stages.
_STAGES_TO_REHEAT: Final = 2
#: Within how long it is measured where the rule has no times, or nothing cools [min]; own choice.
LATEST: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class Measuring:
    """What is measured, after how many hours, what is done if it is too warm then, and by whom."""

    what: str
    hours: tuple[Decimal | None, ...]
    who: str
    too_warm: str = "discard"

    def check(self, limits: Limits, names: Iterable[str], place: str = "") -> None:
        """Refuse what lacks a part, or is read later than a limit; ``place`` comes before the name of the field.

        ``names`` are those of all that is measured so.

        Raises
        ------
        MeasureMissing, MeasurerMissing
            If it is not chosen what is measured, or by whom.
        NamesNobody
            If the name is none.
        HourNotInTime
            If a limit has no reading, or a late one.
        """
        for problem in self.problems(limits, display.listed(names), place):
            raise problem

    def problems(self, limits: Limits, name: str, place: str = "") -> Iterator[OrderError]:
        """Yield every refusal of it, in the order of its fields."""
        if self.what not in WHAT or self.too_warm not in dict(too_warm_of(limits)):
            yield MeasureMissing(place=f"{place}what", product=name)
        for number, (limit_c, minutes) in enumerate(limits or [(None, LATEST)]):
            hour = self.hours[number] if number < len(self.hours) else None
            if hour is None or not 0 < hour * 60 <= Decimal(minutes):
                facts = {"product": name, "limit_c": limit_c, "minutes": minutes}
                yield HourNotInTime(place=f"{place}hour_{number}", **facts)
        if not self.who.strip():
            yield MeasurerMissing(place=f"{place}who", product=name)
        elif not names_somebody(self.who):
            yield NamesNobody(place=f"{place}who_else", field="measured_by", entered=self.who)

    def text(self, after: str = "") -> str:
        """Write what is measured, when, and what is done then, in the kitchen's language; not by whom.

        ``after`` is the step after which, where it is not that which leaves it hot.
        """
        with kitchen_display(kitchen()):
            hours = [display.duration(hour * 60) for hour in self.hours if hour is not None]
            text = gettext("%(what)s, %(hours)s after it leaves the heat. If it is too warm then: %(too_warm)s")
            if after:
                text = gettext("%(what)s, %(hours)s after “%(step)s”. If it is too warm then: %(too_warm)s")
            facts = {"what": gettext(WHAT[self.what]), "hours": display.joined(hours), "step": after}
            return text % (facts | {"too_warm": gettext(TOO_WARM[self.too_warm])})

    def note(self) -> str:
        """Write the same with who measures."""
        with kitchen_display(kitchen()):
            return gettext("%(text)s. By %(who)s") % {"text": self.text(), "who": self.who.strip()}

    def chosen(self) -> dict[str, object]:
        """Return the choices and figures, as a history stores them."""
        return {"what": self.what, "hours": [str(hour) for hour in self.hours], "too_warm": self.too_warm}


def is_chosen(text: str) -> bool:
    """Return whether a record's text begins with what can be chosen to be measured, not with somebody's own words."""
    return text.startswith(tuple(gettext(words) for words in WHAT.values()))


def too_warm_of(limits: Limits) -> Iterator[tuple[str, str]]:
    """Yield what may be done with what is too warm, in words."""
    for code, words in TOO_WARM.items():
        if code != "reheat" or len(limits) >= _STAGES_TO_REHEAT:
            yield code, gettext(words)


def hours_of(limits: Limits) -> tuple[Decimal | None, ...]:
    """Return the latest hours at which a rule's limits are read; one that is open where it has none."""
    return tuple(Decimal(floor(minutes * 100 / 60)) / 100 for _, minutes in limits) or (None,)


def strictest(legs: Iterable[Sequence[Leg]]) -> Limits:
    """Return the limits of several rules at once: each by when it comes first."""
    return earliest(limit for one in legs for limit in due_times(one))


def earliest(limits: Iterable[tuple[float, float]]) -> Limits:
    """Return each limit once, by when it comes first."""
    found: dict[float, float] = {}
    for limit_c, minutes in limits:
        found[limit_c] = min(minutes, found.get(limit_c, minutes))
    return sorted(found.items(), key=lambda limit: limit[1])
