"""The form of starter figures: plain questions, each with what counts where it is not answered."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.first_steps.selectors import Figures
from catalog.first_steps.services import Starter
from catalog.kitchen.hours_forms import WEEKDAYS
from catalog.kitchen.models import Kitchen
from catalog.web.display import temperature
from catalog.web.fields import ClockField, NumberField, PercentField
from catalog.web.measure_fields import TemperatureField
from catalog.web.money_fields import DistanceRateField, MoneyField

#: What a refrigerator is kept at where nobody knows better [°C]; from memory: 40 °F and 4 °C are what food agencies
#: advise at most. Cooling is computed with air 1 °C warmer too (`costing/chilling/ranges.py`), and rules ask for 5 °C
#: (41 °F): at 4 °C nothing would ever count as cold, so both degrees get 39 °F, which is 3.9 °C.
_COLD = {"F": (Decimal(39) - 32) / Decimal("1.8"), "C": Decimal("3.9")}


class StarterForm(forms.Form):
    """Tax, pay, margin, hours, the four monthly questions, oven and refrigerator; what is there is not asked."""

    tax_rate = PercentField(
        what=marked("the tax rate"),
        most=100,
        label=_("Tax on your desserts"),
        unit=marked("percent"),
        example="8.25",
        help_text=_("0 where none is charged. Rates differ by place and by how it is sold: ask your accountant."),
    )
    hourly = MoneyField(
        what=marked("the pay"),
        label=_("What an hour of work is paid"),
        example="22",
        help_text=_("Count yourself too: a price that leaves out your hours does not pay for them."),
    )
    margin = PercentField(
        what=marked("the margin"),
        most=99,
        label=_("Margin you aim for"),
        unit=marked("percent of the price before tax"),
        example="50",
        help_text=_("What is left of the price after all costs. 50 doubles the cost."),
    )
    weekdays = forms.TypedMultipleChoiceField(
        label=_("Days somebody works"),
        coerce=int,
        required=False,
        choices=list(enumerate(WEEKDAYS)),
        initial=[1, 2, 3, 4, 5],
        widget=forms.CheckboxSelectMultiple,
    )
    opens = ClockField(what=marked("the start"), label=_("From"), required=False)
    closes = ClockField(what=marked("the end"), label=_("To"), required=False)
    rent = MoneyField(
        what=marked("rent and energy"), label=_("Rent and energy, a month"), required=False, example="900"
    )
    other = MoneyField(
        what=marked("the other costs"),
        label=_("Everything else that is due whether you bake or not, a month"),
        required=False,
        example="350",
        help_text=_("Insurance, telephone, software, bank, repairs."),
    )
    hours = NumberField(
        what=marked("the hours"),
        above=0,
        most=10_000,
        label=_("Hours worked on desserts, a month"),
        required=False,
        example="120",
        help_text=_("All people together. Rent and energy are divided by them."),
    )
    orders = NumberField(
        what=marked("the orders"),
        above=0,
        most=10_000,
        label=_("Orders, a month"),
        required=False,
        example="12",
        help_text=_("Everything else is divided by them; left empty, by the hours."),
    )
    delivers = forms.BooleanField(label=_("I deliver"), required=False, initial=True)
    per_km = DistanceRateField(
        what=marked("the vehicle cost"),
        label=_("What the vehicle costs"),
        required=False,
        example="0.65",
        help_text=_("Fuel, wear and insurance. The driver’s time is counted at the pay above."),
    )
    oven = forms.BooleanField(label=_("I have an oven"), required=False, initial=True)
    refrigerator = forms.BooleanField(label=_("I have a refrigerator"), required=False, initial=True)
    refrigerator_c = TemperatureField(
        what=marked("the refrigerator’s temperature"),
        label=_("Air in the refrigerator"),
        within=(-5, 10),
        examples=("39", "3.9"),
    )

    def __init__(self, data: Any = None, *, kitchen: Kitchen, there: Figures) -> None:
        super().__init__(data)
        fields: dict[str, Any] = self.fields
        for name in ("hourly", "rent", "other"):
            fields[name].use_currency(kitchen.currency, charged=False)
            fields[name].unit = kitchen.currency
        fields["refrigerator_c"].use(kitchen.degrees)
        fields["refrigerator_c"].initial = _COLD[kitchen.degrees]
        fields["refrigerator_c"].help_text = gettext(
            "Cooling is computed with it, and to be careful with air 1 °C (1.8 °F) warmer: what has to get to %(cold)s "
            "needs air below %(air)s. Measure it: a full refrigerator is warmer than its display says."
        ) % {"cold": temperature(Decimal(5)), "air": temperature(Decimal(4), 1)}
        fields["refrigerator_c"].unit = f"°{kitchen.degrees}"
        fields["per_km"].use(kitchen.currency, miles=kitchen.distance == Kitchen.Distance.MILE)
        for name in self._answered(there):
            del self.fields[name]

    @staticmethod
    def _answered(there: Figures) -> list[str]:
        """Return the fields of what the kitchen has."""
        groups = {
            ("tax_rate",): there.tax,
            ("hourly",): there.role,
            ("margin",): there.rule,
            ("weekdays", "opens", "closes"): there.hours,
            ("rent", "other", "hours", "orders"): there.monthly,
            ("delivers", "per_km"): there.delivery,
            ("oven",): there.oven,
            ("refrigerator", "refrigerator_c"): there.refrigerator,
        }
        return [name for names, is_there in groups.items() if is_there for name in names]

    def clean(self) -> dict[str, Any]:
        """Ask for what belongs together."""
        data = super().clean() or {}
        opens, closes = data.get("opens"), data.get("closes")
        if bool(opens) != bool(closes) and not {"opens", "closes"} & self.errors.keys():
            self.add_error("closes" if opens else "opens", gettext("Enter both times, or none."))
        elif opens and closes and closes <= opens:
            self.add_error(
                "closes", gettext("Enter an end after the start. Work past midnight is entered under Hours.")
            )
        elif opens and not data.get("weekdays"):
            self.add_error("weekdays", gettext("Choose the days of these hours, or empty the hours."))
        if data.get("delivers") and data.get("per_km") is None and "per_km" not in self.errors:
            self.add_error(
                "per_km", gettext("Enter what the vehicle costs, 0 for nothing, or uncheck that you deliver.")
            )
        costs_by_hours = data.get("rent") or (data.get("other") and not data.get("orders"))
        if costs_by_hours and not data.get("hours") and "hours" not in self.errors and "hours" in self.fields:
            self.add_error("hours", gettext("Enter the hours too: the monthly costs are divided by them."))
        return data

    def starter(self) -> Starter:
        """Return the answers; call it when it is valid."""
        values = {
            name: getattr(value, "amount", value)
            for name, value in self.cleaned_data.items()
            if value is not None and name in Starter.__slots__
        }
        return Starter(**values)
