"""Template tags and filters: figures and dates as text, fields with labels, the error summary."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any, Final

from django import template
from django.forms import BaseForm, BoundField
from django.forms.formsets import BaseFormSet
from django.template.base import FilterExpression
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext

from catalog.outbox.presenters import work_problem, work_summary
from catalog.pantry.declarations import Declaration
from catalog.pantry.presenters import allergen_word, allergen_words, counted_need_words, label_words, need_words
from catalog.web import display, inputs
from catalog.web.edits import Edit
from catalog.web.one_line import on_one_line
from catalog.web.people import name_on_page

register = template.Library()

#: What htmx, ``js/figures.js`` and ``js/coldset.js`` look for in a page.
_FOR_HTMX: Final = re.compile(r"\shx-[a-z-]+=")
_FOR_FIGURES: Final = re.compile(r"\sdata-figures=")
_FOR_SCRIPT: Final = re.compile(r"\smethod=\"post\"|\sdata-(?:errors|said|keep|add-row|print)\b")

register.filter("money", display.minor)
register.filter("amount", display.amount)
# Titles and sources of food-safety rules: `costing` marks them and does not translate.
register.filter("official", gettext)
register.filter("per_mass", display.per_mass)
register.filter("minutes_per_mass", display.minutes_per_mass)
register.filter("percent", display.percent)
register.filter("percentage", display.percentage)
register.simple_tag(display.mass_unit, name="mass_unit")
register.filter("plain", display.plain)
register.filter("mass", display.mass)
register.filter("line_mass", display.line_mass)
register.filter("measure", display.measure)
register.filter("packs", display.packs)
register.filter("distance", display.distance)
register.filter("volume", display.volume)
register.simple_tag(display.length_unit, name="length_unit")
register.filter("in_length", display.length)
register.filter("temperature", display.temperature)
register.filter("duration", display.duration)
register.filter("day", display.day)
register.filter("short_day", display.short_day)
register.filter("day_alone", display.day_alone)
register.filter("moment", display.moment)
register.filter("clock", display.clock)
register.filter("window", display.window)
register.filter("allergen", allergen_word)
register.filter("allergens", allergen_words)
register.filter("needs", need_words)
register.filter("needs_counted", counted_need_words)
register.filter("work_problem", work_problem)
register.filter("work_summary", work_summary)

#: Filters that write a number with its unit: the two stay on one line of a page.
_MEASURES: Final = (
    "mass", "line_mass", "minutes_per_mass", "measure", "distance", "volume", "in_length", "temperature", "duration",
    "day", "short_day", "day_alone", "moment", "clock", "window",
)  # fmt: skip
for _name in _MEASURES:
    register.filter(_name, on_one_line(register.filters[_name]), needs_autoescape=True)


@register.filter
def is_over(day: date | None) -> bool:
    """Return whether a day is over where the kitchen is."""
    return day is not None and day < timezone.localdate()


@register.simple_tag
def page_language() -> str:
    """Return the language of the texts, as an element's ``lang`` names it: en-US."""
    language, _, country = (get_language() or "en").partition("-")
    return f"{language}-{country.upper()}" if country else language


@register.simple_tag
def bare_length(cm: Decimal | None) -> str:
    """Write a length in the kitchen's unit, which the head of its column names."""
    return display.length(cm, 2, unit=False)


@register.simple_tag
def label_of(declared: Declaration) -> str:
    """Write what an ingredient or a recipe contains, may contain and was not checked for."""
    kinds = declared.allergens, declared.may_allergens, declared.unchecked_allergens
    return label_words(*kinds, display.current().allergen_list, names=declared.names)


@register.simple_tag
def status(document: Any) -> str:
    """Write a document's status in a word."""
    return display.status(document)


@register.simple_tag(takes_context=True)
def who(context: template.Context, username: str) -> str:
    """Write the name of the person whose user name a record holds."""
    return name_on_page(context.get("request"), username)


@register.simple_tag
def field(bound: BoundField, **options: Any) -> SafeString:
    """Write label, help, error and input of a field; options ``label``, ``help_text``, ``short``, ``optional``."""
    return inputs.field(bound, **options)


@register.simple_tag
def bare(bound: BoundField, **options: Any) -> SafeString:
    """Write an input for a table's cell, its label for screen readers only; option ``label``."""
    return inputs.bare(bound, **options)


@register.simple_tag
def errors(*forms: BaseForm | BaseFormSet[Any] | list[BaseForm] | None) -> SafeString:
    """Write the summary of all errors of the forms, each line a link to its field."""
    return inputs.summary(*forms)


@register.simple_tag
def version(edit: Edit[Any, Any] | str) -> SafeString:
    """Write the version an edit form was opened with, and both versions when it was overtaken; nothing in a new one."""
    if not isinstance(edit, Edit) or not edit.version:
        return SafeString("")
    return render_to_string("parts/version.html", {"edit": edit})


@register.simple_tag
def add_row(formset: BaseFormSet[Any], text: str = "") -> SafeString:
    """Write the button that adds a row to a formset; it shows only where the script runs."""
    return inputs.add_row(formset, text or gettext("Add a row"))


@register.simple_tag(takes_context=True)
def error_prefix(context: template.Context) -> str:
    """Write ``Error: `` before the page's title when a form on it has errors."""
    return gettext("Error: ") if inputs.has_problems(context.flatten().values()) else ""


class BesideNode(template.Node):
    """The column beside the page, left out when it would be empty."""

    def __init__(self, label: FilterExpression, nodelist: template.NodeList) -> None:
        self.label = label
        self.nodelist = nodelist

    def render(self, context: template.Context) -> str:
        """Write the column, or nothing."""
        inside = self.nodelist.render(context)
        if not inside.strip():
            return ""
        return format_html('<aside class="margin" aria-label="{}">{}</aside>', self.label.resolve(context), inside)


@register.tag
def beside(parser: template.base.Parser, token: template.base.Token) -> BesideNode:
    """Wrap the ``margin`` block: ``{% beside _("Notes") %}…{% endbeside %}``."""
    label = parser.compile_filter(token.contents.partition(" ")[2].strip())
    nodelist = parser.parse(("endbeside",))
    parser.delete_first_token()
    return BesideNode(label, nodelist)


class ScriptedNode(template.Node):
    """The inside of a page's body, and after it the scripts that something on the page asks for."""

    def __init__(self, nodelist: template.NodeList) -> None:
        self.nodelist = nodelist

    def render(self, context: template.Context) -> SafeString:
        """Write the body, and the scripts it needs: none, ours, htmx and ours, or those of a draft besides."""
        inside = self.nodelist.render(context)
        htmx, figures = bool(_FOR_HTMX.search(inside)), bool(_FOR_FIGURES.search(inside))
        if not (htmx or _FOR_SCRIPT.search(inside)):
            return inside
        return SafeString(inside + render_to_string("parts/scripts.html", {"htmx": htmx, "figures": figures}))


@register.tag
def scripted(parser: template.base.Parser, _token: template.base.Token) -> ScriptedNode:
    """Wrap the inside of a page's body: ``{% scripted %}…{% endscripted %}``."""
    nodelist = parser.parse(("endscripted",))
    parser.delete_first_token()
    return ScriptedNode(nodelist)
