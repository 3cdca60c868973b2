"""Forms of roles, stations, overhead and delivery."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.taxes.models import TaxCategory
from catalog.web.fields import NumberField, PercentField, WholeField
from catalog.web.measure_fields import TemperatureField, in_degrees, name_field
from catalog.web.money_fields import DistanceRateField, MoneyField, in_currency
from catalog.web.plan_fields import DifferenceField, difference_written
from costing.contract.plan_bounds import MOST_ALIKE, SAFE_TOLERANCE_C


class RoleForm(forms.Form):
    """A kind of work and its pay."""

    name = name_field(_("Role"), _("Enter the role, such as Pastry cook."))
    hourly = MoneyField(what=marked("the hourly pay"), label=_("Hourly pay"), example="24.00")
    on_cost = PercentField(
        what=marked("the payroll taxes and benefits"),
        most=300,
        label=_("Payroll taxes and benefits"),
        unit=marked("percent"),
        required=False,
        example="18",
        help_text=_("What an employer pays on top of wages: taxes, insurance, paid leave. Your payroll shows it."),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)

    def clean_on_cost(self) -> Decimal:
        """Read an empty on-cost as zero."""
        return self.cleaned_data["on_cost"] or Decimal(0)


class StationForm(forms.Form):
    """An oven, refrigerator, freezer, rack or bench."""

    name = name_field(_("Name"), _("Enter a name, such as Deck oven."))
    kind = forms.ChoiceField(label=_("Kind"), choices=Station.Kind.choices)
    monthly_hours = NumberField(
        what=marked("the monthly hours of use"),
        above=0,
        most=1_000_000,
        label=_("Monthly hours of use"),
        required=False,
        example="150",
        help_text=_("Oven: hours it bakes. Refrigerator: hours × the shelf places you use."),
    )
    hourly = MoneyField(
        what=marked("the rate"),
        label=_("Hourly rate override"),
        required=False,
        example="4.80",
        help_text=_("Leave empty to calculate the rate from the monthly costs on the page Overhead."),
    )
    places = WholeField(
        what=marked("the places"),
        least=0,
        most=100_000,
        label=_("Places"),
        required=False,
        help_text=_("Trays or shelf places that one of them holds at once."),
    )
    count = WholeField(
        what=marked("the number alike"),
        least=1,
        most=MOST_ALIKE,
        label=_("Number alike"),
        initial=1,
        required=False,
        example="2",
        help_text=_("How many of them you have. The places are those of one."),
    )
    tolerance_c = DifferenceField(
        what=marked("the temperature difference"),
        label=_("Temperature difference of loads at the same time"),
        help_text=_("How far the temperatures of two loads may lie apart to go in together. 0: only the same."),
    )
    air_c = TemperatureField(
        what=marked("the air temperature"),
        label=_("Air temperature"),
        examples=("37", "3"),
        help_text=_("Of a refrigerator, freezer or cool room. Cooling times are calculated from it."),
    )
    air = forms.ChoiceField(
        label=_("Air movement"),
        choices=Station.Air.choices,
        help_text=_("Moving air cools faster. A fan counts when it blows all the time, not only when the motor runs."),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, station: Station | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.station = station
        in_currency(self, kitchen.currency)
        in_degrees(self, kitchen.degrees)
        safe = difference_written(Decimal(int(SAFE_TOLERANCE_C)), kitchen.degrees)
        note = gettext("Empty: an oven counts with %(apart)s, a safe default.") % {"apart": safe}
        self.fields["tolerance_c"].help_text = f"{self.fields['tolerance_c'].help_text} {note}"

    def clean_count(self) -> int:
        """Read an empty number as one; refuse fewer than are listed as out of order at once."""
        count = self.cleaned_data["count"] or 1
        most = max((out.count for out in self.station.outs.all()), default=0) if self.station else 0
        if most > count:
            sentence = gettext("%(most)s are listed as out of order below, and you enter %(count)s. Remove that first.")
            raise forms.ValidationError(sentence % {"most": most, "count": count})
        return int(count)


class OverheadForm(forms.Form):
    """The month's hours and orders, and rates stated by hand."""

    monthly_labor_hours = NumberField(
        what=marked("the monthly labor hours"),
        above=0,
        most=100_000,
        label=_("Monthly labor hours"),
        required=False,
        example="320",
        help_text=_("Paid hours of work on desserts, all people together."),
    )
    monthly_orders = NumberField(
        what=marked("the monthly orders"),
        above=0,
        most=100_000,
        label=_("Monthly orders"),
        required=False,
        example="24",
        help_text=_("In an average month of the year."),
    )
    per_labor_hour = MoneyField(
        what=marked("the rate per labor hour"),
        label=_("Rate override per labor hour"),
        required=False,
        help_text=_("Leave empty to use the calculated rate."),
    )
    per_order = MoneyField(
        what=marked("the rate per order"),
        label=_("Rate override per order"),
        required=False,
        help_text=_("Leave empty to use the calculated rate."),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {key: getattr(kitchen, key) for key in self.base_fields})
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)


class MonthlyCostForm(forms.Form):
    """A monthly figure and its carrier; an empty row is ignored."""

    name = forms.CharField(
        label=_("Cost"),
        max_length=80,
        required=False,
    )
    amount = MoneyField(what=marked("the monthly amount"), label=_("Amount per month"), required=False, example="950")
    carrier = forms.ChoiceField(label=_("Allocated to"), required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, stations: list[Station], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)
        self.fields["carrier"].choices = carriers(stations)  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("name") and data.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", gettext("Enter what %(name)s costs per month.") % {"name": data["name"]})
        if data.get("amount") is not None and not data.get("name") and "name" not in self.errors:
            self.add_error("name", gettext("Enter the name of the cost, such as Rent."))
        return data


def carriers(stations: list[Station]) -> list[tuple[str, str]]:
    """Return the possible carriers of a monthly figure: labor hours, orders, or the hours of one station."""
    hour_of = gettext("each hour of %(station)s")
    return [
        (MonthlyCost.Carrier.LABOR.value, gettext("each labor hour")),
        (MonthlyCost.Carrier.ORDER.value, gettext("each order")),
        *((f"station-{station.pk}", hour_of % {"station": station}) for station in stations),
    ]


def carried(choice: str) -> tuple[str, int | None]:
    """Split a choice of :func:`carriers` into the carrier and the station's key."""
    kind, _, pk = choice.partition("-")
    return (kind or MonthlyCost.Carrier.LABOR.value, int(pk) if pk else None)


class BaseMonthlyCostFormSet(forms.BaseFormSet[MonthlyCostForm]):
    """The month's figures."""

    def costs(self) -> list[MonthlyCost]:
        """Return the figures that can be read and are not removed, unsaved and in order."""
        rows: list[MonthlyCost] = []
        for form in self.forms:
            data = form.cleaned_data if form.is_valid() else {}
            if data.get("name") and data.get("amount") is not None and not data.get("DELETE"):
                carrier, station = carried(data["carrier"])
                rows.append(
                    MonthlyCost(
                        name=data["name"],
                        amount=data["amount"].amount,
                        carrier=carrier,
                        station_id=station,
                        position=len(rows),
                    )
                )
        return rows


MonthlyCostFormSet = forms.formset_factory(
    MonthlyCostForm, formset=BaseMonthlyCostFormSet, extra=2, can_delete=True, max_num=200, absolute_max=300
)


class DeliveryForm(forms.Form):
    """How delivery is paid, charged and taxed."""

    role = forms.ModelChoiceField(
        label=_("Driver’s role"),
        queryset=Role.objects.none(),
        required=False,
        empty_label=_("we do not deliver"),
    )
    per_km = DistanceRateField(what=marked("the vehicle cost"), label=_("Vehicle cost"), required=False, example="0.42")
    margin = PercentField(
        what=marked("the margin"),
        most=99,
        label=_("Margin on delivery"),
        unit=marked("percent"),
        required=False,
        example="25",
        help_text=_("0 charges delivery at cost."),
    )
    tax = forms.ModelChoiceField(
        label=_("Tax category"),
        queryset=TaxCategory.objects.none(),
        required=False,
        empty_label=_("the same as the goods delivered"),
        help_text=_("Ask a licensed accountant: tax on delivery differs from place to place."),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        initial = {
            "role": kitchen.delivery_role_id,
            "per_km": kitchen.delivery_per_km,
            "margin": kitchen.delivery_margin,
            "tax": kitchen.delivery_tax_id,
        }
        kwargs.setdefault("initial", initial)
        super().__init__(*args, **kwargs)
        self.fields["role"].queryset = Role.objects.all()  # type: ignore[attr-defined]  # a model choice field
        self.fields["tax"].queryset = TaxCategory.objects.all()  # type: ignore[attr-defined]  # a model choice field
        rate = self.fields["per_km"]
        if isinstance(rate, DistanceRateField):
            rate.use(kitchen.currency, miles=kitchen.distance == Kitchen.Distance.MILE)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for key in ("per_km", "margin"):
            if data.get(key) is None and key not in self.errors:
                data[key] = Decimal(0)
        return data
