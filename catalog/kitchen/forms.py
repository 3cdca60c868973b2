"""The form of the kitchen's profile: names, locale, pricing and terms."""

from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, Final
from zoneinfo import available_timezones

from babel.core import Locale
from babel.numbers import format_currency
from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.kitchen.terms_forms import UsualTermsForm, text_field
from catalog.kitchen.trace_words import CROSS_CONTACT
from catalog.kitchen.usual import rules_of
from catalog.records.real_words import says_something
from catalog.web.choices import choices_with
from catalog.web.display import duration
from catalog.web.fields import PercentField
from catalog.web.measure_fields import SpanField, TemperatureField, in_degrees
from catalog.web.money_fields import NO_CURRENCY, MoneyField
from catalog.web.numbers import written_here
from costing.chilling import COOKED, PROFILES
from costing.contract.cooling_bounds import AWAY_C, LONGEST_OUT_MIN, ROOM_C
from costing.contract.plan_bounds import LONGEST_WAIT_MIN, SAFE_COLD_WAIT_MIN, SAFE_WARM_WAIT_MIN
from costing.money.currencies import MINOR_DIGITS

if TYPE_CHECKING:
    pass

#: Locales for figures; pages are in English in all of them.
LOCALES: Final = (
    "en_US",
    "en_GB",
    "en_IE",
    "en_CA",
    "en_AU",
    "en_NZ",
    "en_ZA",
    "de_DE",
    "de_AT",
    "de_CH",
    "fr_FR",
    "nl_NL",
    "it_IT",
    "es_ES",
    "pl_PL",
    "sv_SE",
    "da_DK",
    "ja_JP",
)  # fmt: skip
_ENGLISH: Final = Locale.parse("en")


@cache
def countries() -> list[tuple[str, str]]:
    """Return ISO 3166-1 codes with English names (Unicode CLDR)."""
    left_out = {"EU", "EZ", "UN", "XA", "XB", "XK", "ZZ", "QO"}
    names = [(code, str(name)) for code, name in _ENGLISH.territories.items() if len(code) == 2 and code.isalpha()]
    return sorted(((code, name) for code, name in names if code not in left_out), key=lambda pair: pair[1])


@cache
def currencies() -> list[tuple[str, str]]:
    """Return ISO 4217 codes with English names (Unicode CLDR)."""
    return [(code, f"{code}, {_ENGLISH.currencies.get(code, code)}") for code in sorted(MINOR_DIGITS)]


@cache
def zones() -> list[tuple[str, str]]:
    """Return the time zones that are named for a place."""
    named = sorted(zone for zone in available_timezones() if "/" in zone and not zone.startswith(("Etc/", "SystemV/")))
    return [(zone, zone.replace("_", " ")) for zone in [*named, "UTC"]]


def locales(currency: str) -> list[tuple[str, str]]:
    """Return the locales to choose from, each with a sample amount."""
    return [
        (code, f"{Locale.parse(code).get_display_name('en')}: {format_currency(1234.5, currency, locale=code)}")
        for code in LOCALES
    ]


def food_safety_choices(saved: str) -> list[tuple[str, str]]:
    """Return the rules to choose from; one that was divided only where it was chosen before."""
    divided = {Kitchen.FoodSafety.ANZ, Kitchen.FoodSafety.UK} - {saved}
    return [(code, str(label)) for code, label in Kitchen.FoodSafety.choices if code not in divided]


class ProfileForm(UsualTermsForm):
    """The kitchen's profile."""

    name = text_field(_("Name of the kitchen"), most=120, ask=_("Enter the kitchen's name."))
    legal_name = text_field(_("Legal name"), most=120, help_text=_("As it stands on invoices, if it differs."))
    address = text_field(_("Address"), most=500, rows=3)
    country = forms.ChoiceField(label=_("Country"), choices=countries)
    email = forms.EmailField(
        label=_("E-mail"),
        help_text=_("Customers' answers go here."),
        error_messages={"required": _("Enter the kitchen's e-mail address.")},
    )
    phone = text_field(_("Telephone"), most=40)

    currency = forms.ChoiceField(label=_("Currency"), choices=currencies)
    locale = forms.ChoiceField(label=_("How figures are written"))
    time_zone = forms.ChoiceField(label=_("Time zone"))
    measures = forms.ChoiceField(label=_("Measures"), choices=Kitchen.Measures.choices)
    cup = forms.ChoiceField(
        label=_("A cup is"),
        choices=[("us", _("the US cup, 236.6 ml")), ("metric", _("the metric cup, 250 ml"))],
        help_text=_("Recipes that name cups, tablespoons or teaspoons are costed by it."),
    )
    degrees = forms.ChoiceField(label=_("Temperatures in"), choices=Kitchen.Degrees.choices)
    distance = forms.ChoiceField(label=_("Distances in"), choices=Kitchen.Distance.choices)
    paper = forms.ChoiceField(label=_("Paper"), choices=Kitchen.Paper.choices)
    allergen_list = forms.ChoiceField(label=_("Allergens named"), choices=Kitchen.Allergens.choices)

    cross_contact = text_field(
        _("About traces of allergens"),
        most=1000,
        rows=3,
        help_text=format_lazy(
            _(
                "Stands on every quote and order, and on invoices before the hand-over. Say what you really do: what is"
                " handled in the same room, and what you cannot promise. Words such as “free of nuts” are checked"
                " against your ingredients, but no check finds every way to say it. So this always follows your words:"
                " “{caution}”"
            ),
            caution=CROSS_CONTACT,
        ),
    )

    food_safety = forms.ChoiceField(
        label=_("Food-safety rules in force"),
        choices=Kitchen.FoodSafety.choices,
        help_text=_(
            "Cooling and time out of the cold are judged by them. The law of the place holds: ask your local"
            " authority which rules and which edition it applies."
        ),
    )
    room_c = TemperatureField(
        what=marked("the kitchen’s temperature"),
        label=_("Air in the kitchen"),
        required=True,
        within=ROOM_C,
        examples=("75", "24"),
        help_text=_("On a warm day, where desserts cool and are finished."),
    )
    away_c = TemperatureField(
        what=marked("the temperature on the way"),
        label=_("Air on the way and at the table"),
        required=True,
        within=AWAY_C,
        examples=("77", "25"),
        help_text=_("The warmest you expect: a closed car or a tent in summer is warmer."),
    )
    vehicle_cold = forms.BooleanField(
        label=_("Our vehicle is refrigerated"),
        required=False,
        help_text=_("Then the way is not time out of the cold; loading, setup and the table are."),
    )

    time_out_minutes = SpanField(
        what=marked("the longest time out of the cold"),
        label=_("Longest time out of the cold"),
        help_text=_(
            "Your own limit, or your authority’s, such as 2 h: on the way, setting up and on the table together."
            " Windows, quotes and sheets go by it. Leave it empty where the rule’s own time is enough."
        ),
    )
    time_out_source = text_field(
        _("Where that limit comes from"),
        most=200,
        help_text=_(
            "Who set it and when, such as: our food safety plan, March 2026; a letter of the health department."
        ),
    )
    longest_wait_min = SpanField(
        what=marked("the longest wait"),
        label=_("Longest wait out of the cold where a step states no maximum hold"),
        help_text=format_lazy(
            _(
                "How long a batch may wait before its next step. Empty: {warm} min. In the cold it waits as long as"
                " the product keeps, else {cold} h. These are our safe defaults: follow your local code."
            ),
            warm=SAFE_WARM_WAIT_MIN,
            cold=SAFE_COLD_WAIT_MIN // 60,
        ),
    )
    checks_note = text_field(
        _("Who checks temperatures and times"),
        most=400,
        rows=2,
        help_text=_(
            "Printed on the procedure, such as: whoever packs takes the temperature with the probe and"
            " writes the time on the label."
        ),
    )

    prices = forms.ChoiceField(label=_("Prices are shown"), choices=Kitchen.Prices.choices)
    price_step = MoneyField(
        what=marked("the price step"),
        above=0,
        least=None,
        label=_("Price step"),
        example="0.25",
    )
    waste = PercentField(
        what=marked("the waste"),
        most=100,
        label=_("Waste allowance"),
        unit=marked("percent"),
        help_text=_("Added to everything bought by weight: what sticks to bowls, spills and spoils."),
        example="3",
    )
    floor_margin = PercentField(
        what=marked("the floor margin"),
        most=99,
        label=_("Floor margin"),
        unit=marked("percent"),
        help_text=_("Share of the price before tax left after all costs. A quote below it needs a recorded reason."),
        example="40",
    )
    order_minimum = MoneyField(
        what=marked("the minimum order"), label=_("Minimum order"), help_text=_("0 for none."), example="250"
    )
    rush_rate = PercentField(
        what=marked("the rush fee"),
        most=500,
        label=_("Rush fee"),
        unit=marked("percent"),
        help_text=_("Added to the goods when you mark an order as a rush."),
        example="15",
    )

    tax_name = text_field(_("Tax is called"), most=40, ask=_("Enter what the tax is called, such as Sales tax or VAT."))
    tax_number = text_field(_("Your tax number"), most=40, help_text=_("Printed on invoices."))
    tax_note = text_field(_("Wording the law asks for on invoices"), most=1000, rows=2)

    def __init__(
        self, *args: Any, kitchen: Kitchen, currency_locked: bool, vehicles: bool = False, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", {key: getattr(kitchen, key) for key in self.base_fields})
        super().__init__(*args, **kwargs)
        self.terms_of(kitchen)
        self.country_before = "" if kitchen._state.adding else kitchen.country
        if vehicles:
            # Each of the vehicles says whether it is refrigerated.
            del self.fields["vehicle_cold"]
        entered = self.data if self.is_bound else self.initial
        chosen = kitchen.currency if currency_locked else str(entered.get("currency") or kitchen.currency)
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.unit = chosen if chosen in MINOR_DIGITS else ""
                field.use_currency(field.unit or NO_CURRENCY, charged=True)
        self.fields["price_step"].help_text = written_here().written(
            gettext("Prices are rounded up to it: 0.25 makes 4.13 into 4.25.")
        )
        in_degrees(self, kitchen.degrees)
        if kitchen._state.adding:
            self._write_degrees(kitchen)
        self._choices("locale", choices_with(locales(kitchen.currency), kitchen.locale))
        self._choices("time_zone", choices_with(zones(), kitchen.time_zone))
        self._choices("country", choices_with(countries(), kitchen.country))
        self._choices("food_safety", food_safety_choices(kitchen.food_safety))
        if currency_locked:
            self.fields["currency"].disabled = True
            self.fields["currency"].help_text = gettext("It stays: quotes or other documents are written in it.")

    def _write_degrees(self, kitchen: Kitchen) -> None:
        """Write a new kitchen's temperatures with their unit: its degrees are chosen in the same form.

        A number without one is in the degrees that are chosen there.
        """
        chosen = str((self.data if self.is_bound else self.initial).get("degrees") or kitchen.degrees)
        degrees = chosen if chosen in Kitchen.Degrees.values else kitchen.degrees
        in_degrees(self, degrees)
        for name, field in self.fields.items():
            if isinstance(field, TemperatureField):
                field.unit = ""
                if isinstance(celsius := self.initial.get(name), Decimal):
                    self.initial[name] = f"{field.prepare_value(celsius)} °{degrees}"

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = {key: data.get(key) not in (None, "") or key in self.errors for key in _LIMIT}
        for key in (key for key, ask in _LIMIT.items() if any(given.values()) and not given[key]):
            self.add_error(key, _LIMIT[key])
        if data.get("time_out_source") and not says_something(data["time_out_source"]):
            self.add_error("time_out_source", gettext("Write whose limit this is, and where it stands: two words."))
        if data.get("time_out_minutes") is not None:
            self._check_limit(data)
        if data.get("longest_wait_min") is not None:
            self._check_wait(data)
        self._check_rules(data)
        return data

    def _check_rules(self, data: dict[str, Any]) -> None:
        """Refuse the rules of another country where the country is a new one: they would stay without a word."""
        country, rules = data.get("country", ""), data.get("food_safety", "")
        known = rules_of(country)
        if country != self.country_before and known and rules and rules not in known:
            words = gettext("These food-safety rules are of another country. Choose those of %(country)s.")
            self.add_error("food_safety", words % {"country": dict(countries()).get(country, country)})

    def _check_wait(self, data: dict[str, Any]) -> None:
        minutes = data["longest_wait_min"]
        if minutes == int(minutes) and 1 <= minutes <= LONGEST_WAIT_MIN:
            data["longest_wait_min"] = int(minutes)
            return
        sentence = gettext("The longest wait must be whole minutes, from 1 min to %(longest)s.")
        self.add_error("longest_wait_min", sentence % {"longest": duration(LONGEST_WAIT_MIN)})

    def _check_limit(self, data: dict[str, Any]) -> None:
        minutes = data["time_out_minutes"]
        stated = _stated_minutes(data.get("food_safety"))
        if minutes != int(minutes) or not 1 <= minutes <= LONGEST_OUT_MIN:
            longest = duration(LONGEST_OUT_MIN)
            self.add_error(
                "time_out_minutes",
                gettext(
                    "The longest time out of the cold must be from 1 min to %(longest)s, the longest that any rule we"
                    " read allows."
                )
                % {"longest": longest},
            )
        elif stated is not None and minutes >= stated:
            self.add_error(
                "time_out_minutes",
                gettext(
                    "The rule you chose allows %(stated)s by itself. Enter a shorter time, or leave this and its source"
                    " empty."
                )
                % {"stated": duration(stated)},
            )
        else:
            data["time_out_minutes"] = int(minutes)


#: The two parts of a limit of the house, and what is asked when one is there without the other.
_LIMIT: Final = {
    "time_out_minutes": _("Enter the longest time out of the cold, such as 2 h, or empty its source."),
    "time_out_source": _("Enter where this limit comes from, or empty the time."),
}


def _stated_minutes(food_safety: str | None) -> float | None:
    """Return the time out of the cold that a chosen rule states by itself [min]; None when it states none."""
    rule = PROFILES.get(COOKED if food_safety == Kitchen.FoodSafety.US else food_safety or "")
    return None if rule is None else rule.most_out
