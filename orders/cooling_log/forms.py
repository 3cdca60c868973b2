"""The form of a measurement: dessert, start of cooling, readings, whether the rule was kept, and what was done."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from django import forms
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.web.display import joined
from catalog.web.fields import ClockField, DayField
from catalog.web.measure_fields import TemperatureField
from orders.cooling_log.measurables import Measurable
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import CoolingMark
from orders.cooling_log.services import RecordData, shows_met
from orders.quotes.cooling.selectors import Item

#: Rows for readings on the form; more go on another record.
ROWS: Final = 3
#: Coldest and hottest a dessert can be [°C].
WITHIN: Final = (-40, 130)


class DismissForm(forms.Form):
    """Which mark goes, and why it concerns nothing that was made."""

    item = forms.ChoiceField(
        label=_("Dessert or batch"),
        error_messages={
            "required": _("Choose the dessert or batch."),
            "invalid_choice": _("Choose the dessert or batch."),
        },
    )
    reason = forms.CharField(
        label=_("Why nothing was made by those steps"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Who made sure, and how: the oven sheet, the cold room, or that it was discarded."),
        error_messages={"required": _("Enter why nothing of it was made by those steps, or that it was discarded.")},
    )

    def __init__(self, *args: Any, marks: Sequence[CoolingMark], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item"].choices = [(str(mark.item), mark.name) for mark in marks]  # type: ignore[attr-defined]  # a ChoiceField

    def dismissed(self) -> Item:
        """Return what is about to be dismissed; call it on a form without errors."""
        kind, _hyphen, pk = self.cleaned_data["item"].partition("-")
        return Item(kind, int(pk))


class RecordForm(forms.Form):
    """The dessert, the start of cooling, and how it ended."""

    item = forms.ChoiceField(
        label=_("Dessert or batch"),
        error_messages={
            "required": _("Choose the dessert or batch."),
            "invalid_choice": _("Choose the dessert or batch."),
        },
    )
    started_time = ClockField(
        what=_("when cooling began"),
        label=_("Cooling began at"),
        required=False,
    )
    outcome = forms.ChoiceField(
        label=_("Outcome"),
        choices=CoolingRecord.Outcome.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose whether the rule was met, or whether it is still cooling."),
            "invalid_choice": _("Choose whether the rule was met, or whether it is still cooling."),
        },
    )
    action = forms.ChoiceField(
        label=_("If not met, what was done with it"),
        choices=[("", _("Choose what was done")), *(one for one in CoolingRecord.Action.choices if one[0])],
        required=False,
        error_messages={"invalid_choice": _("Choose what was done: reheated and cooled once more, or discarded.")},
    )
    made_from = forms.BooleanField(
        label=_("This order is made from this batch, although it began before its planned day or before production"),
        required=False,
        help_text=_("For a batch that was made earlier. What the owner has to answer stays open."),
    )
    note = forms.CharField(
        label=_("Note"), max_length=300, required=False, help_text=_("Such as which batch, and where it stood.")
    )

    def __init__(self, *args: Any, items: Sequence[Measurable], month_first: bool, address: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item"].choices = [(one.key, cooling_name(one)) for one in items]  # type: ignore[attr-defined]  # a ChoiceField
        self.fields["day"] = DayField(what=_("the day on which cooling began"), label=_("Day"), month_first=month_first)
        if any(_asks_part(one) for one in items):
            chosen = self.data.get("item") if self.is_bound else self.initial.get("item")
            self.fields["part"] = _part_field(next((one for one in items if one.key == chosen), None))
            # Another dessert has other numbers: the page asks for its own.
            swap = {"hx-get": address, "hx-trigger": "change", "hx-target": "#which", "hx-select": "#which"}
            self.fields["item"].widget.attrs |= swap | {"hx-swap": "outerHTML"}
        if common := [one for one in items if one.is_common]:
            self.fields["common"] = _common_field(common)
        self.order_fields(("item", "common", "part", "day", "started_time"))


def cooling_name(one: Measurable) -> str:
    """Write what was measured; of several coolings of one item with the step of each."""
    if not one.number:
        return one.name
    return gettext("%(name)s, “%(step)s”") % {"name": one.name, "step": one.limits.part}


def _asks_part(one: Measurable) -> bool:
    return max(one.parts, one.alone) > 1 or any(one.needs_warmest(common=common) for common in (True, False))


def _common_field(items: Sequence[Measurable]) -> forms.ChoiceField:
    """Return the question of which batch was measured, for what several orders may be made at once of."""
    several = "; ".join(f"{one.name}: {joined([other.number for other in one.made_for])}" for one in items)
    choose = _("Choose which batch was measured.")
    return forms.ChoiceField(
        label=_("Batch measured"),
        required=False,
        choices=[
            ("", _("Choose")),
            ("1", _("One batch for all these orders")),
            ("0", _("A batch for this order alone")),
        ],
        error_messages={"invalid_choice": choose},
        help_text=gettext("What is made at once on one day: %(several)s.") % {"several": several},
    )


def _part_field(one: Measurable | None) -> forms.ChoiceField:
    """Return the question which vessel or load was measured of what is chosen: its own numbers, and no others."""
    choose = _("Choose which vessel or load was measured.")
    return forms.ChoiceField(
        label=_("Vessel or load measured"),
        required=False,
        choices=_part_choices(one),
        error_messages={"invalid_choice": choose},
        help_text="" if one is None else _part_help(one),
    )


def _part_choices(one: Measurable | None) -> list[tuple[str, str]]:
    if one is None:
        return [("", gettext("Choose"))]
    most = max(one.parts, one.alone)
    every = ("0", gettext("All of them; the readings are those of the warmest"))
    warmest = one.needs_warmest(common=True) and one.needs_warmest(common=False)
    if most == 1 and not warmest:
        return [("", gettext("There is only one")), ("1", gettext("Number %(number)s") % {"number": 1})]
    numbers = () if warmest else range(1, most + 1)
    each = ((str(number), gettext("Number %(number)s") % {"number": number}) for number in numbers)
    return [("", gettext("Choose")), every, *each]


def _part_help(one: Measurable) -> str:
    parts = max(one.parts, one.alone)
    words = {"name": one.name, "parts": parts, "pieces": one.pieces}
    if not one.counted:
        return gettext("Nothing states in how many vessels or loads %(name)s is: measure each.") % words
    if parts > 1 and one.item.kind == "product":
        return gettext("%(name)s: %(parts)s loads, numbered on the sheets. Probe the warmest piece of a load.") % words
    if parts > 1:
        return gettext("%(name)s: %(parts)s vessels, numbered on the sheets. Each is measured for itself.") % words
    if one.pieces > 1:
        return gettext("%(name)s: %(pieces)s pieces in one load. Probe the warmest.") % words
    return gettext("%(name)s: one vessel or load.") % words


class ReadingForm(forms.Form):
    """One reading: temperature and time."""

    def __init__(self, *args: Any, number: int, degrees: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["celsius"] = TemperatureField(
            degrees=degrees,
            within=WITHIN,
            examples=("41", "5"),
            what=gettext("reading %(number)s") % {"number": number},
            label=gettext("Reading %(number)s, °%(degrees)s") % {"number": number, "degrees": degrees},
        )
        self.fields["time"] = ClockField(
            what=gettext("when reading %(number)s was taken") % {"number": number},
            label=gettext("Time of reading %(number)s") % {"number": number},
            required=False,
        )
        self.number = number

    def clean(self) -> dict[str, Any]:
        """Check that a temperature comes with its time, and a time with its temperature."""
        values = super().clean() or self.cleaned_data
        celsius, clock = values.get("celsius"), values.get("time")
        if celsius is not None and clock is None and "time" not in self.errors:
            self.add_error("time", gettext("Enter when reading %(number)s was taken.") % {"number": self.number})
        if clock is not None and celsius is None and "celsius" not in self.errors:
            self.add_error("celsius", gettext("Enter the temperature of reading %(number)s.") % {"number": self.number})
        return values


class RecordForms:
    """The form with its rows of readings."""

    def __init__(
        self,
        data: QueryDict | None,
        *,
        items: Sequence[Measurable],
        chosen: str,
        kitchen: Kitchen,
        now: datetime,
        address: str,
    ) -> None:
        facts: dict[str, Any] = {"items": items, "month_first": kitchen.locale.endswith("_US"), "address": address}
        self.form = RecordForm(data, **facts, initial=_initial(items, chosen, now))
        self.rows = [
            ReadingForm(
                data,
                number=row + 1,
                degrees=kitchen.degrees,
                prefix=f"readings-{row}",
            )
            for row in range(ROWS)
        ]

    def __iter__(self) -> Iterator[forms.Form]:
        yield self.form
        yield from self.rows

    def is_valid(self) -> bool:
        """Whether all can be read; each is asked, so that every error is shown at once."""
        checked = [form.is_valid() for form in self]
        return all(checked)

    def record(self) -> RecordData:
        """Return what was entered; call it on forms without errors."""
        values = self.form.cleaned_data
        kind, pk, *number = values["item"].split("-")
        start = _moment(values["day"], values["started_time"]) if values["started_time"] else None
        return RecordData(
            item=Item(kind, int(pk)),
            readings=list(self._readings(values["day"], start)),
            outcome=values["outcome"],
            started_at=start,
            action=values["action"] if values["outcome"] == CoolingRecord.Outcome.NOT_MET else "",
            note=values["note"],
            part=int(values["part"]) if values.get("part") else None,
            common=values["common"] == "1" if values.get("common") else None,
            made_from=values["made_from"],
            cooling=int(number[0]) if number else None,
        )

    def _readings(self, day: date, start: datetime | None) -> Iterator[Reading]:
        """Yield the readings; a clock time before the one above it is of the next day."""
        before = start
        for row in self.rows:
            values = row.cleaned_data
            if values.get("celsius") is None:
                continue
            moment = _moment(timezone.localtime(before).date() if before else day, values["time"])
            if before is not None and moment < before:
                moment += timedelta(days=1)
            before = moment
            yield Reading(moment, values["celsius"])

    def add_refusal(self, place: str, sentence: str) -> None:
        """Show a refusal of the service at its field."""
        prefix, _, name = place.rpartition("-")
        row = next((form for form in self.rows if form.prefix == prefix), None)
        if row is not None:
            row.add_error(name, sentence)
        else:
            self.form.add_error(place if place in self.form.fields else None, sentence)


def _moment(day: date, clock: time) -> datetime:
    return timezone.make_aware(datetime.combine(day, clock))


def _chosen(items: Sequence[Measurable], chosen: str) -> Measurable | None:
    """Return what a form opens with: what is named, of several coolings of one item the first that is open."""
    of_item = [one for one in items if chosen in (one.key, str(one.item))]
    of_item = of_item or [one for one in items if one.item == items[0].item]
    return next((one for one in of_item if one.open), of_item[0] if of_item else None)


def _initial(items: Sequence[Measurable], chosen: str, now: datetime) -> dict[str, Any]:
    one = _chosen(items, chosen)
    going_on = one.going_on if one else None
    if one and going_on:
        one = one.of_batch(common=bool(going_on.common))
    begun = one.began(going_on.part) if one and going_on else None
    day = timezone.localtime(begun or now)
    shown = {"item": one.key if one else "", "day": day.date()}
    if one and going_on:
        shown["part"] = str(going_on.part)
        if one.is_common:
            shown["common"] = "1" if going_on.common else "0"
        if shows_met(one, going_on.part):
            shown["outcome"] = CoolingRecord.Outcome.MET
    return shown | ({"started_time": day.time()} if begun else {})
