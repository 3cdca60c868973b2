"""The kitchen's profile."""

from dataclasses import replace
from functools import partial
from typing import Any, Final

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext

from catalog.kitchen.duty_presenters import allergen_notice, duties_shown
from catalog.kitchen.forms import LOCALES, ProfileForm, countries
from catalog.kitchen.models import Kitchen
from catalog.kitchen.presenters import approve_button_of, divided_words, effects_words, tax_name_of
from catalog.kitchen.selectors import currency_locked, kitchen, vehicles_listed
from catalog.kitchen.services import profile_save, profile_version
from catalog.kitchen.trace_words import trace_words
from catalog.kitchen.usual import usual
from catalog.records.errors import CatalogError, Overtaken
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from catalog.web.display.settings import current, use
from catalog.web.edits import Edit
from catalog.web.fields import NumberField
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts

#: Where a session has the country that a new kitchen is in, for whoever comes back before it is set up.
COUNTRY_CHOSEN: Final = "country_chosen"
#: Fields that change recipes, prices or answers about allergens; the page says what before they are saved.
_WITH_EFFECTS: Final = ("cup", "prices", "allergen_list")


@allow(OWNER)
def profile(request: HttpRequest) -> HttpResponse:
    """Show and change the profile; the first visit sets the kitchen up, written as its country writes."""
    home = kitchen()
    if not home._state.adding:
        return _profile(request)
    data = submitted_data(request)
    chosen = usual(_country_chosen(request, home), locales=LOCALES, time_zone="").get("locale")
    locale = chosen if data is None else data.get("written_in")
    with use(replace(current(), locale=locale if locale in LOCALES else current().locale)):
        return _profile(request)


def _profile(request: HttpRequest) -> HttpResponse:
    data = submitted_data(request)
    edit = Edit(data=data, load=kitchen, forms=_profile_form, version_of=profile_version, page=request.path)
    if data is not None and data.get("do") == "usual":
        return _with_the_usual(request, edit, data)
    form, new = edit.forms, edit.record._state.adding
    if new and data is None:
        return _new_in(request, edit, _country_chosen(request, edit.record))
    if form.is_bound and form.is_valid():
        values = amounts(form.cleaned_data)
        effects, asked = _effects(edit.record, values), _effects_of(values)
        if effects and form.data.get("seen") != asked:
            return _profile_page(request, edit, form, edit.status(), effects=effects, seen=asked, ask=True)
        if _saved(edit, values, by=request.user.get_username()):
            done = (
                gettext("The kitchen is set up. A few figures come next.") if new else gettext("The profile is saved.")
            )
            messages.success(request, done)
            return redirect("first-figures" if new else "kitchen-profile")
    return _profile_page(request, edit, edit.forms, edit.status())


def _profile_page(
    request: HttpRequest, edit: Edit[Kitchen, ProfileForm], form: ProfileForm, status: int, **more: Any
) -> HttpResponse:
    home = edit.record
    context = {"form": form, "edit": edit, "new": home._state.adding, **_rules_shown(home), **more}
    context["events_ahead"] = import_string(settings.EVENTS_AHEAD)(at=timezone.now())
    context["written_in"] = current().locale
    context["traces"] = trace_words(form["cross_contact"].value() or "")
    return render(request, "catalog/kitchen/profile.html", context, status=status)


def _country_chosen(request: HttpRequest, home: Kitchen) -> str:
    """Return the country of a new kitchen: of the address, or as chosen when the owner's account was made."""
    asked = request.GET.get("country") or request.session.get(COUNTRY_CHOSEN)
    return asked if asked in dict(countries()) else home.country


def _new_in(request: HttpRequest, edit: Edit[Kitchen, ProfileForm], country: str) -> HttpResponse:
    """Show the form of a new kitchen with what is usual in its country; nothing is saved."""
    proposed = usual(country, locales=LOCALES, time_zone="") | {"tax_name": tax_name_of(country), "country": country}
    proposed |= _button(country)
    initial = {**_initial(edit.record), "name": "", "email": "", **proposed}
    form = ProfileForm(None, kitchen=edit.record, currency_locked=False, initial=initial)
    names = [str(form.fields[name].label) for name in proposed if name != "country"]
    return _profile_page(request, edit, form, 200, proposed=names, country=dict(countries())[country])


def _button(country: str) -> dict[str, str]:
    words = approve_button_of(country)
    return {"approve_button": words} if words else {}


def _with_the_usual(request: HttpRequest, edit: Edit[Kitchen, ProfileForm], data: QueryDict) -> HttpResponse:
    """Show the form as it was filled in, with what is usual in the country chosen; nothing is saved.

    A new kitchen's figures are read as the page wrote them, and written as that country does.
    """
    entered = _entered(edit, data)
    proposed = usual(entered["country"], locales=LOCALES, time_zone=entered["time_zone"])
    proposed["tax_name"] = tax_name_of(entered["country"])
    if entered["approve_button"].strip() == Kitchen._meta.get_field("approve_button").default:
        # Words of the owner's own stay.
        proposed |= _button(entered["country"])
    if currency_locked():
        proposed.pop("currency", None)
        entered["currency"] = edit.record.currency
    new, values = edit.record._state.adding, {**entered, **proposed}
    country, effects = dict(countries()).get(entered["country"], ""), _effects(edit.record, values)
    with use(replace(current(), locale=proposed.get("locale", current().locale)) if new else current()):
        form = ProfileForm(
            None, kitchen=edit.record, currency_locked=currency_locked(), vehicles=vehicles_listed(), initial=values
        )
        changed = [str(form.fields[name].label) for name, value in proposed.items() if entered[name] != value]
        found = {"proposed": changed, "country": country, "effects": effects, "seen": _effects_of(values)}
        return _profile_page(request, edit, form, 200, **found)


def _entered(edit: Edit[Kitchen, ProfileForm], data: QueryDict) -> dict[str, Any]:
    """Return what was entered, by field: a number as the number it is, a text where it cannot be read."""
    entered: dict[str, Any] = {name: data.get(name, "") for name in ProfileForm.base_fields}
    edit.forms.is_valid()
    numbers = (name for name, field in edit.forms.fields.items() if isinstance(field, NumberField))
    return entered | {name: edit.forms.cleaned_data[name] for name in numbers if name in edit.forms.cleaned_data}


def _effects(home: Kitchen, values: dict[str, Any]) -> str:
    """Say what saving these values would change of recipes, prices and allergens; nothing of a new kitchen."""
    if home._state.adding:
        return ""
    effects_of = import_string(settings.PROFILE_EFFECTS)
    found = effects_of(home=home, today=timezone.localdate(), **{name: values[name] for name in _WITH_EFFECTS})
    return effects_words(found, gross=values["prices"] == Kitchen.Prices.GROSS)


def _effects_of(values: dict[str, Any]) -> str:
    """Return what the page remembers of the values whose effects it showed."""
    return " ".join(str(values[name]) for name in _WITH_EFFECTS)


def _saved(edit: Edit[Kitchen, ProfileForm], values: dict[str, Any], *, by: str) -> bool:
    """Save the profile; a refusal stands at its field, with all that was entered."""
    try:
        return edit.saved(partial(_profile_save, values, by)) is not None
    except Overtaken:
        raise
    except CatalogError as refusal:
        edit.forms.add_error(refusal.place or None, sentence(refusal))
        return False


def _profile_save(values: dict[str, Any], by: str, version: str) -> Kitchen:
    return profile_save(data=values, by=by, at=timezone.now(), version=version)


def _rules_shown(home: Kitchen) -> dict[str, Any]:
    """Return what the page says of the rules that were chosen; of the defaults nothing."""
    if home._state.adding:
        return {}
    return {
        "divided": divided_words(home.food_safety),
        "duties": duties_shown(home.food_safety, home.country),
        "allergen_notice": allergen_notice(home.food_safety, home.country),
    }


def _profile_form(home: Kitchen, data: QueryDict | None) -> ProfileForm:
    initial = {"initial": {**_initial(home), "name": "", "email": ""}} if home._state.adding else {}
    return ProfileForm(data, kitchen=home, currency_locked=currency_locked(), vehicles=vehicles_listed(), **initial)


def _initial(home: Any) -> dict[str, Any]:
    return {key: getattr(home, key) for key in ProfileForm.base_fields}
