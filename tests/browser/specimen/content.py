"""What the specimen pages show."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest

from catalog.web.charts import (
    Age,
    BarPart,
    MarginRow,
    StripBlock,
    StripRow,
    margins,
    plan_strip,
    price_bar,
    receivables,
)
from catalog.web.fields import DayField, NumberField


class OrderCard(forms.Form):
    title = forms.CharField(label="What it is called", help_text="Such as: Wedding of Ida and Jon.")
    guests = NumberField(label="Guests", what="the number of guests", required=False, unit="people")
    date = DayField(label="Day", what="the day")
    hand_over = forms.ChoiceField(
        label="Hand-over", choices=[("delivery", "we deliver"), ("pickup", "picked up")], widget=forms.RadioSelect
    )
    kind = forms.ChoiceField(label="Kind of customer", choices=[("private", "private"), ("venue", "venue")])
    allergies = forms.MultipleChoiceField(
        label="Allergies at the table",
        required=False,
        choices=[("milk", "milk"), ("tree-nuts", "tree nuts")],
        widget=forms.CheckboxSelectMultiple,
    )
    rush = forms.BooleanField(label="Rush work", required=False, help_text="Adds the surcharge of your profile.")
    note = forms.CharField(label="Note for the kitchen", required=False, widget=forms.Textarea)
    list = forms.FileField(label="Price list", required=False, help_text="A CSV or XLSX file.")


class Line(forms.Form):
    product = forms.CharField(label="Product")
    units = NumberField(label="Units", what="how many", least=1)


Lines = forms.formset_factory(Line, extra=1, can_delete=True)


def _at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 2, day, hour, minute, tzinfo=UTC)


def pictures() -> dict[str, str]:
    parts = [
        BarPart("ingredients", "Ingredients", Decimal("11.4")),
        BarPart("packaging", "Packaging", Decimal("1.2")),
        BarPart("labour", "Labor", Decimal("8.9")),
        BarPart("overhead", "Overhead", Decimal("3.1")),
        BarPart("margin", "Margin", Decimal("17.4")),
    ]
    rows = [
        MarginRow("Plum tart, 24 cm", Decimal("0.58"), Decimal("0.55"), Decimal("0.4")),
        MarginRow("Rye cup", Decimal("0.47"), Decimal("0.6"), Decimal("0.4")),
        MarginRow("Sugar lantern", Decimal("0.22"), Decimal("0.6"), Decimal("0.4")),
    ]
    stations = [
        StripRow(
            "Deck oven",
            (
                StripBlock(_at(5, 13), _at(5, 15), "Bases at 170 °C", "oven"),
                StripBlock(_at(5, 15, 30), _at(5, 18), "Tarts at 150 °C", "oven"),
            ),
        ),
        StripRow(
            "Cold room",
            (
                StripBlock(_at(5, 19), _at(6, 12), "Tarts setting", "cold"),
                StripBlock(_at(5, 20), _at(6, 10), "Cups", "cold"),
            ),
        ),
        StripRow("Hands", (StripBlock(_at(6, 9), _at(6, 11, 30), "Finish and pack", "hands"),)),
    ]
    ages = [
        Age("Not due yet", 184_000, 4),
        Age("1 to 30 days late", 62_050, 2),
        Age("31 to 60 days late", 0, 0),
        Age("Over 60 days late", 9_900, 1),
    ]
    return {
        "price": price_bar(parts, currency="USD").whole,
        "margins": margins(rows),
        "strip": plan_strip(stations, start=_at(5, 11), end=_at(6, 17)),
        "receivables": receivables(ages, currency="USD"),
    }


def everything(request: HttpRequest) -> dict[str, Any]:
    wrong = request.GET.get("wrong")
    lines_data = {
        "form-TOTAL_FORMS": "2",
        "form-INITIAL_FORMS": "0",
        "form-0-product": "Rye cup",
        "form-0-units": "many",
        "form-1-product": "",
        "form-1-units": "",
    }
    return {
        "form": OrderCard({"title": "", "guests": "about ninety", "date": "31 February 2027"} if wrong else None),
        "lines": Lines(lines_data if wrong else None),
        "start": _at(6, 21),
        "end": _at(6, 22),
        "rows": [("Plum tart, 24 cm", 6, 4200, 25_200), ("Rye cup", 120, 420, 50_400), ("Sugar lantern", 1, 900, 900)],
        "total": 76_500,
        "share": Decimal("0.5274"),
        "cost": Decimal("0.0045"),
        "pictures": pictures(),
        "ticks": range(9),
    }
