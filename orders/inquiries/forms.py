"""The inquiry form: people, day, place, guests."""

from collections.abc import Collection, Iterator, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.pantry.allergens import is_need, need_choices
from catalog.web import display
from catalog.web.display.measures import KM_PER_MILE
from catalog.web.fields import ClockField, DayField, NumberField, WholeField, later_hour
from catalog.web.form_data import new_idempotency_key
from catalog.web.money_fields import MoneyField
from catalog.web.near_forms import AsksNear
from orders.inquiries.asked_none_forms import settle_asked
from orders.inquiries.customer_services import CustomerData
from orders.inquiries.models import Customer, Inquiry
from orders.inquiries.moment_forms import moment_in
from orders.inquiries.other_need_forms import other_needs_fields, other_needs_read, other_needs_rows
from orders.inquiries.services import InquiryData
from orders.records.money import from_minor, minor_units
from orders.records.need_errors import NeedsTakenOff
from orders.records.presenters import sentence

#: Columns that the form writes without conversion.
_PLAIN = (
    "title",
    "hand_over",
    "place",
    "minutes",
    "setup_minutes",
    "guests",
    "pieces_per_guest",
    "allergy_note",
    "note",
)


#: The fields in page order, for the error summary.
_ORDER = (
    *(
        "idempotency_key",
        "customer",
        "name",
        "email",
        "phone",
        "kind",
        "title",
        "day",
        "start",
        "end",
        "hand_over",
        "place",
    ),
    *(
        "distance",
        "minutes",
        "crew",
        "setup_minutes",
        "guests",
        "pieces_per_guest",
        "budget",
        "asked_none",
        "allergies",
    ),
    *("allergy_note", "note"),
)


#: Units that may follow a number of minutes.
MINUTES = ("minutes", "mins", "min")


class InquiryForm(forms.Form):
    """An inquiry's event, place and guests. ``of_numbers`` are sentences about the guests of needs, by need.

    ``note_asked`` is the mark of the allergy note where somebody has to say that it names no guest's need.
    """

    of_numbers: Mapping[str, str] = MappingProxyType({})
    note_asked = ""

    title = forms.CharField(
        label=_("Event name"),
        max_length=120,
        help_text=_("Such as Wedding of Ida and Jon."),
        error_messages={"required": _("Enter an event name, such as Wedding of Ida and Jon.")},
    )
    hand_over = forms.ChoiceField(
        label=_("Pickup or delivery"),
        choices=Inquiry.HandOver.choices,
        initial=Inquiry.HandOver.DELIVERY,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose pickup or delivery."),
            "invalid_choice": _("Choose pickup or delivery."),
        },
    )
    place = forms.CharField(label=_("Place"), max_length=200, required=False, help_text=_("Venue or address."))
    minutes = NumberField(
        what=_("the minutes one way"),
        label=_("Minutes one way"),
        allowed_units=MINUTES,
        required=False,
        least=0,
        most=2880,
        example="35",
    )
    crew = WholeField(what=_("the crew"), label=_("Crew"), required=False, least=1, most=50, example="2", initial=1)
    setup_minutes = NumberField(
        what=_("the setup minutes"),
        label=_("Setup minutes"),
        allowed_units=MINUTES,
        required=False,
        least=0,
        most=2880,
        example="40",
    )
    guests = WholeField(what=_("the number of guests"), label=_("Guests"), required=False, least=1, most=100_000)
    pieces_per_guest = NumberField(
        what=_("the pieces per guest"),
        label=_("Pieces per guest"),
        required=False,
        above=0,
        most=100,
        example="2.5",
        help_text=_("A whole cake counts as its number of servings."),
    )
    asked_none = forms.BooleanField(label=_("The customer was asked and named no allergies or diets"), required=False)
    allergies = forms.MultipleChoiceField(
        label=_("Allergies and diets"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("Choose allergens from the list; enter anything else below it.")},
    )
    allergy_note = forms.CharField(
        label=_("Allergy notes"),
        help_text=_("The customer reads this on the quote."),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    note = forms.CharField(
        label=_("Your note"), required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(
        self, *args: Any, kitchen: Kitchen, ordered: Collection[str] = (), settled: str = "", **kwargs: Any
    ) -> None:
        """``ordered`` are needs of an order's guests: they are taken off by a tick that names them.

        ``settled`` is the allergy note of which somebody said that it names no need.
        """
        self.kitchen, self.settled = kitchen, settled
        super().__init__(*args, **kwargs)
        month_first = kitchen.locale.endswith("_US")
        self.fields["day"] = DayField(what=_("the event date"), label=_("Date"), month_first=month_first)
        self.fields["start"] = ClockField(what=_("the start time"), label=_("Pickup or delivery from"))
        self.fields["end"] = ClockField(what=_("the end time"), label=_("Pickup or delivery to"))
        miles = kitchen.distance == Kitchen.Distance.MILE
        self.fields["distance"] = NumberField(
            what=_("the distance"),
            label=_("Miles one way") if miles else _("Kilometers one way"),
            allowed_units=("miles", "mile", "mi") if miles else ("kilometers", "kilometres", "km"),
            required=False,
            least=0,
            most=5000,
            example="28",
        )
        self.fields["budget"] = MoneyField(
            what=_("the budget"),
            label=gettext("Budget with tax (%(currency)s)") % {"currency": kitchen.currency},
            required=False,
            most=100_000_000,
            currency=kitchen.currency,
            charged=True,
            example="1800",
        )
        self.order_fields(_ORDER)
        sent = self.data.getlist("allergies") if hasattr(self.data, "getlist") else self.data.get("allergies") or ()
        beyond = [code for code in sent if is_need(code)]
        self.needs = need_choices(kitchen.allergen_list, [*(self.initial.get("allergies") or []), *beyond])
        self.fields["allergies"].choices = self.needs  # type: ignore[attr-defined]  # a choice field
        for code, name in self.needs:
            self.fields[f"guests-{code}"] = WholeField(
                what=gettext("the number of guests (%(need)s)") % {"need": name},
                label=gettext("Guests: %(need)s") % {"need": name},
                required=False,
                least=1,
                most=100_000,
                initial=(self.initial.get("need_counts") or {}).get(code),
            )

        self.fields |= other_needs_fields()
        for code, name in self.needs:
            if code in ordered:
                label = gettext("No guest has this any more: %(need)s. I tell the customer that it is taken off.")
                self.fields[f"off-{code}"] = forms.BooleanField(label=label % {"need": name}, required=False)

    def off_rows(self) -> list[BoundField]:
        """Return the ticks of an order's needs that this form, as it was sent, takes off."""
        if not self.is_bound:
            return []
        self.is_valid()
        stay = self.cleaned_data.get("allergies", ())
        ticks = (f"off-{code}" for code, _label in self.needs if code not in stay)
        return [self[name] for name in ticks if name in self.fields]

    def taken_off(self) -> list[str]:
        """Return the needs of an order's guests that are taken off by a tick."""
        return [code for code, _label in self.needs if self.cleaned_data.get(f"off-{code}")]

    def need_rows(self) -> Iterator[tuple[Any, BoundField, str]]:
        """Return the tick and the number of guests of each need, and what a message says of the number, or nothing."""
        for tick in self["allergies"].subwidgets:
            code = tick.data["value"]
            yield tick, self[f"guests-{code}"], self.of_numbers.get(code, "")

    def other_rows(self) -> Iterator[tuple[BoundField, BoundField]]:
        """Return the free lines for what no list has, each with its number of guests."""
        return other_needs_rows(self)

    def clean(self) -> dict[str, Any]:
        """Turn day and times into the window, in the kitchen's zone."""
        values = super().clean() or self.cleaned_data
        day, start = values.get("day"), values.get("start")
        end = later_hour(self, "end", start=start, end=values.get("end"))
        if day and start:
            values["window_start"] = self._moment("start", day, start)
        if day and end:
            values["window_end"] = self._moment("end", day, end)
        counts = {code: number for code, _label in self.needs if (number := values.get(f"guests-{code}")) is not None}
        # A number says that there are such guests, ticked or not.
        values["allergies"] = [
            code for code, _label in self.needs if code in counts or code in values.get("allergies", ())
        ]
        values["need_counts"] = counts
        other_needs_read(self, values)
        settle_asked(self, values)
        for code, _label in self.needs:
            if f"off-{code}" in self.fields and code not in values["allergies"] and not values.get(f"off-{code}"):
                self.add_error(f"off-{code}", sentence(NeedsTakenOff(codes=[code])))
        if start and end and end < start:
            early = gettext("The end time %(end)s is before the start time %(start)s. Correct one of them.")
            self.add_error("end", early % {"end": display.clock(end), "start": display.clock(start)})
        return values

    def _moment(self, name: str, day: date, clock: time) -> datetime | None:
        try:
            return moment_in(ZoneInfo(self.kitchen.time_zone), day, clock)
        except ValidationError as error:
            self.add_error(name, error)
            return None

    def inquiry_data(self) -> InquiryData:
        """Return the inquiry's data; call it on a form without errors."""
        values = self.cleaned_data
        distance = values["distance"]
        if distance is not None and self.kitchen.distance == Kitchen.Distance.MILE:
            distance = distance * KM_PER_MILE
        return InquiryData(
            **{name: values[name] for name in (*_PLAIN, "window_start", "window_end")},
            km=distance,
            crew=values["crew"] or 1,
            budget_minor=None if values["budget"] is None else minor_units(values["budget"]),
            allergies=tuple(values["allergies"]),
            need_counts=values["need_counts"],
            asked_none=values["asked_none"],
            note_settled=values.get("note_settled", False),
        )


class NewInquiryForm(AsksNear, InquiryForm):
    """An inquiry with its customer, known or new."""

    idempotency_key = forms.CharField(max_length=32, widget=forms.HiddenInput, required=False)
    customer = forms.ModelChoiceField(
        queryset=Customer.objects.all(),
        required=False,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": _("This customer no longer exists. Enter the name again.")},
    )
    name = forms.CharField(
        label=_("Name"), max_length=120, required=False, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    email = forms.EmailField(
        label=_("E-mail"),
        max_length=254,
        required=False,
        help_text=_("The quote is sent to this address. A customer you already have with it is used again."),
        widget=forms.TextInput(attrs={"inputmode": "email", "autocomplete": "off"}),
        error_messages={"invalid": _("Enter a full e-mail address, such as ida@example.com.")},
    )
    phone = forms.CharField(
        label=_("Phone"), max_length=40, required=False, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    kind = forms.ChoiceField(label=_("Customer type"), choices=Customer.Kind.choices, initial=Customer.Kind.PRIVATE)

    def clean(self) -> dict[str, Any]:
        """Ask for a name unless the customer is known; a form without an idempotency key gets one."""
        values = super().clean()
        if not values.get("customer") and not values.get("name") and "customer" not in self.errors:
            self.add_error("name", gettext("Enter the customer's name, or choose a customer you already have."))
        values["idempotency_key"] = values.get("idempotency_key") or new_idempotency_key()
        return values

    def customer_data(self) -> CustomerData:
        """Return the customer's data."""
        values = self.cleaned_data
        return CustomerData(**{name: values[name] for name in ("name", "email", "phone", "kind")})


class CustomerForm(forms.ModelForm[Customer]):
    """The data of a customer."""

    class Meta:
        model = Customer
        fields = ["name", "email", "phone", "kind", "address", "country", "tax_exempt", "tax_number", "note"]
        labels = {
            "name": _("Name"),
            "email": _("E-mail"),
            "phone": _("Phone"),
            "kind": _("Customer type"),
            "address": _("Address"),
            "country": _("Country code"),
            "tax_exempt": _("Exempt from tax"),
            "tax_number": _("Tax number"),
            "note": _("Your note"),
        }
        help_texts = {
            "country": _("Two letters, such as US."),
            "tax_exempt": _("Keep the exemption certificate on file."),
            "kind": "",
        }
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 3}),
            "email": forms.TextInput(attrs={"inputmode": "email", "autocomplete": "off"}),
        }
        error_messages = {
            "name": {"required": _("Enter the customer's name.")},
            "email": {"invalid": _("Enter a full e-mail address, such as ida@example.com.")},
        }

    def clean_country(self) -> str:
        """Write the country as ISO 3166-1 does: two capitals."""
        code: str = self.cleaned_data["country"].strip().upper()
        if code and not (len(code) == 2 and code.isascii() and code.isalpha()):
            raise ValidationError(gettext("Enter the country as two letters, such as US or SE."), code="not_a_country")
        return code

    def customer_data(self) -> CustomerData:
        """Return the customer's data; call it on a form without errors."""
        return CustomerData(**self.cleaned_data)


class CloseForm(forms.Form):
    """Why an inquiry is closed."""

    reason = forms.CharField(
        label=_("Reason"), max_length=200, required=False, help_text=_("Such as booked elsewhere.")
    )


def initial_of(inquiry: Inquiry, kitchen: Kitchen) -> Mapping[str, Any]:
    """Return the form's values for an inquiry, distances in the kitchen's unit."""
    zone = ZoneInfo(kitchen.time_zone)
    start, end = inquiry.window_start.astimezone(zone), inquiry.window_end.astimezone(zone)
    distance = inquiry.km
    if distance is not None and kitchen.distance == Kitchen.Distance.MILE:
        distance = (distance / KM_PER_MILE).quantize(Decimal("0.001")).normalize()
    return {
        **{name: getattr(inquiry, name) for name in (*_PLAIN, "crew", "allergies", "need_counts", "asked_none")},
        "day": start.date(),
        "start": start.time(),
        "end": end.time(),
        "distance": distance,
        "budget": None if inquiry.budget_minor is None else from_minor(inquiry.budget_minor, kitchen.currency),
    }
