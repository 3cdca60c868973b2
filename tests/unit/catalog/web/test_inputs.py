"""Fields, labels and errors as HTML."""

import re
from typing import Any

import pytest
from django import forms
from django.template import Context, Template

from catalog.web.fields import DayField, NumberField


class Card(forms.Form):
    title = forms.CharField(label="What it is called", help_text="A short name.", max_length=10)
    day = DayField(what="the day", label="Day")
    email = forms.EmailField(label="E-mail", required=False)
    kind = forms.ChoiceField(label="Kind", choices=[("a", "one"), ("b", "two")], widget=forms.RadioSelect)
    rush = forms.BooleanField(label="Rush work", required=False)
    weight = NumberField(what="the weight", label="Weight", unit="g", required=False)
    idempotency_key = forms.CharField(widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("rush"):
            raise forms.ValidationError("Rush work needs an order first.")
        return self.cleaned_data


Rows = forms.formset_factory(Card, can_delete=True)


def written(source: str, **context: Any) -> str:
    text = Template("{% load coldset %}" + source).render(Context(context))
    return re.sub(r"\s+", " ", text)


def test_a_field_ties_label_help_and_input() -> None:
    html = written("{% field form.title %}", form=Card())
    assert '<label for="id_title">What it is called</label>' in html
    assert '<p class="help" id="id_title_help">A short name.</p>' in html
    assert 'aria-describedby="id_title_help"' in html
    assert "required" not in html
    assert "aria-invalid" not in html


def test_an_error_stands_under_the_help_and_is_tied_to_the_input() -> None:
    html = written("{% field form.title %}", form=Card({}))
    assert 'aria-describedby="id_title_help id_title_error"' in html
    assert 'aria-invalid="true"' in html
    assert html.index("id_title_help") < html.index('id="id_title_error"') < html.index("<input")
    assert "Fill in “What it is called”." in html


def test_optional_fields_say_so_and_units_stand_in_the_label() -> None:
    html = written("{% field form.weight short=True %}", form=Card())
    assert "(optional)" in html
    assert "in g" in html
    assert '<div class="field short">' in html
    assert "(optional)" not in written("{% field form.title %}", form=Card())
    assert "(optional)" not in written("{% field form.rush %}", form=Card())


def test_a_label_and_a_help_can_be_given_in_the_template() -> None:
    html = written('{% field form.title label="Name" help_text="As on the card" %}', form=Card())
    assert ">Name</label>" in html
    assert "As on the card" in html
    assert "A short name" not in html


def test_choices_that_belong_together_are_a_fieldset_with_a_legend() -> None:
    html = written("{% field form.kind %}", form=Card({}))
    assert "<legend>Kind</legend>" in html
    assert "Choose an entry for “Kind”." in html


def test_a_checkbox_stands_before_its_label() -> None:
    html = written("{% field form.rush %}", form=Card())
    assert html.index("<input") < html.index("<label")


def test_a_bare_input_has_a_label_that_only_screen_readers_meet() -> None:
    html = written('{% bare form.title label="Name of line 2" %}', form=Card({}))
    assert '<label class="hidden" for="id_title">Name of line 2</label>' in html
    assert "Fill in" in html


def test_a_hidden_field_is_written_without_a_label() -> None:
    assert "<label" not in written("{% field form.idempotency_key %}{% bare form.idempotency_key %}", form=Card())


def test_what_was_entered_as_a_date_stays_to_be_corrected() -> None:
    html = written("{% field form.day %}", form=Card({"day": "31 February 2027"}))
    assert 'type="text"' in html
    assert 'value="31 February 2027"' in html
    assert 'type="date"' in written("{% field form.day %}", form=Card())


def test_the_summary_links_each_sentence_to_its_field_in_the_same_words() -> None:
    form = Card({"title": "a name far too long", "email": "not one", "kind": "c"})
    html = written("{% errors form %}", form=form)
    assert '<a href="#id_title">Shorten “What it is called” to 10 characters: it has 19.</a>' in html
    assert '<a href="#id_email">Write “E-mail” as an e-mail address, such as ida@example.org.</a>' in html
    offered = "Choose one of the offered entries for “Kind”. The one that was sent is not among them."
    assert f'<a href="#id_kind_0">{offered}</a>' in html
    assert 'role="alert"' in html
    for name in ("title", "email", "kind"):
        field = written(f"{{% field form.{name} %}}", form=form)
        sentence = re.search(rf'href="#id_{name}(?:_0)?">([^<]+)<', html)
        assert sentence
        assert sentence[1] in field


def test_the_summary_leads_to_the_first_field_when_the_form_as_a_whole_is_wrong() -> None:
    html = written("{% errors form %}", form=Card({"rush": "on"}))
    assert '<a href="#id_title">Rush work needs an order first.</a>' in html


def test_the_summary_names_the_row_of_a_formset_and_skips_rows_that_go() -> None:
    data = {
        "form-TOTAL_FORMS": "2",
        "form-INITIAL_FORMS": "2",
        "form-0-title": "",
        "form-0-DELETE": "on",
        "form-1-title": "",
    }
    html = written("{% errors rows %}", rows=Rows(data))
    assert "Row 1" not in html
    assert '<a href="#id_form-1-title">Row 2: Fill in “What it is called”.</a>' in html


@pytest.mark.parametrize("context", [{}, {"form": None}, {"form": Card()}, {"form": Rows()}])
def test_nothing_wrong_writes_no_summary_and_no_prefix(context: dict[str, Any]) -> None:
    assert written("{% errors form %}{% error_prefix %}", **context).strip() == ""


def test_the_title_says_error_when_any_form_on_the_page_is_wrong() -> None:
    assert written("{% error_prefix %}", form=Card({})) == "Error: "
    assert written("{% error_prefix %}", forms=[Card(), Card({})]) == "Error: "


def test_user_text_is_escaped_in_errors_and_labels() -> None:
    form = Card({"title": "x", "kind": "<script>"})
    form.add_error("title", "<b>no</b>")
    html = written("{% errors form %}{% field form.title label=label %}", form=form, label="<i>")
    assert "<b>" not in html
    assert "<i>" not in html
    assert "<script>" not in html


def test_the_column_beside_the_page_is_left_out_when_it_is_empty() -> None:
    source = '{% beside "Notes" %} {% if words %}<p>{{ words }}</p>{% endif %} {% endbeside %}'
    assert written(source) == ""
    assert '<aside class="margin" aria-label="Notes">' in written(source, words="Mind the nuts")


def test_stock_sentences_of_the_form_library_are_never_shown() -> None:
    form = Card({"title": "", "email": "x", "kind": "z", "day": "", "idempotency_key": ""})
    html = written("{% errors form %}", form=form)
    for stock in ("This field", "valid", "Ensure"):
        assert stock not in html
