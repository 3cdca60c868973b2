"""Forms of roles, stations, overhead and delivery."""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.taxes.models import TaxCategory
from catalog.web.fields import NumberField, PercentField, WholeField
from catalog.web.measure_fields import TemperatureField, in_degrees, name_field
from catalog.web.money_fields import DistanceRateField, MoneyField, in_currency


class RoleForm(forms.Form):
    """A kind of work and its pay."""

    name = name_field("Kind of work", "Name the kind of work, such as Pastry cook.")
    hourly = MoneyField(what="the hourly pay", label="Pay an hour", example="24.00")
    on_cost = PercentField(
        what="the on-cost",
        most=300,
        label="On-cost",
        unit="percent",
        required=False,
        example="18",
        help_text="What employing adds to pay: employer's taxes, insurance, paid leave. Your payroll tells.",
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)

    def clean_on_cost(self) -> Decimal:
        """Read an empty on-cost as zero."""
        return self.cleaned_data["on_cost"] or Decimal(0)


class StationForm(forms.Form):
    """An oven, refrigerator, freezer, rack or bench."""

    name = name_field("Name", "Name the station, such as Deck oven.")
    kind = forms.ChoiceField(label="Kind", choices=Station.Kind.choices)
    monthly_hours = NumberField(
        what="the hours in a month",
        above=0,
        most=1_000_000,
        label="Hours in use in a month",
        required=False,
        example="150",
        help_text="An oven: hours it bakes. A refrigerator: hours times the shelf places you use.",
    )
    hourly = MoneyField(
        what="the rate",
        label="Rate an hour, if you state it",
        required=False,
        example="4.80",
        help_text="Leave it empty and the rate follows from the monthly figures on the page Overhead.",
    )
    places = WholeField(
        what="the places",
        least=0,
        most=100_000,
        label="Places",
        required=False,
        help_text="Trays or shelf places it takes at once.",
    )
    air_c = TemperatureField(
        what="the air’s temperature",
        label="Kept at",
        examples=("37", "3"),
        help_text="The air of a refrigerator, freezer or cool room. Cooling is worked out with it.",
    )
    air = forms.ChoiceField(
        label="How its air moves",
        choices=Station.Air.choices,
        help_text="Moving air cools faster. A fan counts when it blows all the time, not only when the motor runs.",
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)
        in_degrees(self, kitchen.degrees)


class OverheadForm(forms.Form):
    """The month's hours and orders, and rates stated by hand."""

    monthly_labor_hours = NumberField(
        what="the labour hours",
        above=0,
        most=100_000,
        label="Labour hours in a month",
        required=False,
        example="320",
        help_text="Hours paid and worked on desserts, everybody together.",
    )
    monthly_orders = NumberField(
        what="the orders",
        above=0,
        most=100_000,
        label="Orders in a month",
        required=False,
        example="24",
        help_text="A usual month, over the year.",
    )
    per_labor_hour = MoneyField(
        what="the rate a labour hour",
        label="Rate a labour hour, if you state it",
        required=False,
        help_text="Leave it empty to take the derived one.",
    )
    per_order = MoneyField(
        what="the rate an order",
        label="Rate an order, if you state it",
        required=False,
        help_text="Leave it empty to take the derived one.",
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {key: getattr(kitchen, key) for key in self.base_fields})
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)


class MonthlyCostForm(forms.Form):
    """A monthly figure and its carrier; an empty row is ignored."""

    name = forms.CharField(
        label="What for",
        max_length=80,
        required=False,
    )
    amount = MoneyField(what="the monthly amount", label="A month", required=False, example="950")
    carrier = forms.ChoiceField(label="Carried by", required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, stations: list[Station], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, kitchen.currency)
        self.fields["carrier"].choices = carriers(stations)  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("name") and data.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", f"Enter what {data['name']} costs a month.")
        if data.get("amount") is not None and not data.get("name") and "name" not in self.errors:
            self.add_error("name", "Name the cost, such as Rent.")
        return data


def carriers(stations: list[Station]) -> list[tuple[str, str]]:
    """Return the possible carriers of a monthly figure: labor hours, orders, or the hours of one station."""
    return [
        (MonthlyCost.Carrier.LABOR.value, "each labour hour"),
        (MonthlyCost.Carrier.ORDER.value, "each order"),
        *((f"station-{station.pk}", f"each hour of {station}") for station in stations),
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
        label="Who drives",
        queryset=Role.objects.none(),
        required=False,
        empty_label="we do not deliver",
    )
    per_km = DistanceRateField(what="the rate of the car", label="The car costs", required=False, example="0.42")
    margin = PercentField(
        what="the margin",
        most=99,
        label="Margin on delivery",
        unit="percent",
        required=False,
        example="25",
        help_text="0 charges delivery at cost.",
    )
    tax = forms.ModelChoiceField(
        label="Taxed as",
        queryset=TaxCategory.objects.none(),
        required=False,
        empty_label="the goods it carries",
        help_text="Ask a licensed accountant: places differ on the tax of delivery.",
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
            rate.miles = kitchen.distance == Kitchen.Distance.MILE
            rate.unit = f"{kitchen.currency} a {'mile' if rate.miles else 'kilometre'}"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for key in ("per_km", "margin"):
            if data.get(key) is None and key not in self.errors:
                data[key] = Decimal(0)
        return data
