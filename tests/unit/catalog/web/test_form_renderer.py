"""A list of choices reads to the last character as Django's own template writes it."""

from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates, get_default_renderer
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy

from catalog.web.form_renderer import FormRenderer, select_html

CHOICES: Any = [
    ("", "—"),
    ("a&b", "Nuts & 'seeds' <raw>"),
    (7, gettext_lazy("Save")),
    (mark_safe("x&amp;y"), mark_safe("<b>bold</b>")),
    ("Group <1>", [("g1", "One"), ("g2", "Two")]),
    (None, "None of them"),
]


@pytest.mark.parametrize("value", ["", "a&b", 7, "g2", None, "not there"])
@pytest.mark.parametrize("attrs", [{}, {"id": "id_x", "aria-describedby": 'a "b"', "required": True, "hidden": False}])
@pytest.mark.parametrize("kind", [forms.Select, forms.SelectMultiple, forms.NullBooleanSelect])
def test_it_is_what_the_template_writes(kind: Any, attrs: dict[str, Any], value: Any) -> None:
    widget = kind(attrs={"class": "short"}) if kind is forms.NullBooleanSelect else kind(choices=CHOICES)
    given = [value] if kind is forms.SelectMultiple else value
    plain = widget.render("a<b", given, attrs, DjangoTemplates())
    assert widget.render("a<b", given, attrs, FormRenderer()) == plain
    assert select_html(widget.get_context("a<b", given, attrs)["widget"]) is not None


def test_a_label_that_is_no_text_is_left_to_the_template() -> None:
    widget = forms.Select(choices=[(1, 1234567)])
    assert select_html(widget.get_context("x", 1, {})["widget"]) is None
    assert widget.render("x", 1, {}, FormRenderer()) == widget.render("x", 1, {}, DjangoTemplates())


def test_forms_are_written_by_it() -> None:
    assert isinstance(get_default_renderer(), FormRenderer)
