"""Titles and texts of food-safety rules are translated where they are shown; the pure layer has them in English."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.template import Context, Template
from django.utils import translation
from django.utils.translation import trans_real

from catalog.kitchen.presenters import clause_named, rule_words
from catalog.records.presenters import reason_sentence
from catalog.records.reasons import Reason
from costing.chilling import PROFILES

TITLE = PROFILES["uk-en"].title
TEXTS = {
    text
    for profile in PROFILES.values()
    for text in (profile.title, profile.source, profile.remark, *(clause.source for clause in profile.times_out))
    if text
}


@pytest.fixture
def other_words() -> Iterator[None]:
    """British words that differ from the source, for every text of a rule."""
    with translation.override("en-gb"):
        found = trans_real.catalog()._catalog._catalogs[0]
        before = {text: found.get(text) for text in TEXTS}
        found.update({text: f"<{text}>" for text in TEXTS})
        yield
        found.update({text: words for text, words in before.items() if words is not None})
        for text in [text for text, words in before.items() if words is None]:
            del found[text]


def test_the_british_catalog_has_every_text() -> None:
    po = (Path(settings.LOCALE_PATHS[0]) / "en_GB" / "LC_MESSAGES" / "django.po").read_text()
    entries = {"".join(re.findall(r'"(.*)"', one)) for one in re.findall(r'^msgid ((?:".*"\n)+)', po, re.MULTILINE)}
    assert {text for text in TEXTS if text not in entries} == set()


def test_words_about_a_rule_are_translated(other_words: None) -> None:
    assert f"<{PROFILES['uk-en'].remark}>" in rule_words(PROFILES["uk-en"])
    clause = next(iter(PROFILES.values())).times_out[0]
    assert clause_named(clause).startswith(f"<{clause.source}>")


def test_templates_and_sentences_translate_a_title(other_words: None) -> None:
    page = Template("{% load coldset %}{% autoescape off %}{{ title|official }}{% endautoescape %}")
    assert page.render(Context({"title": TITLE})) == f"<{TITLE}>"
    words = reason_sentence(Reason("late", {"rule": TITLE}), {"late": "Too late ({rule:official})."})
    assert words == f"Too late (<{TITLE}>)."
