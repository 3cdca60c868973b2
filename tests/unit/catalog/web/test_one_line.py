"""On a page a number and its unit stay on one line; in a plain mail the spaces are ordinary ones."""

from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from django.template import Context, Template

from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.one_line import NO_BREAK, unbroken

US = DisplaySettings(distance="mi")
EU = DisplaySettings(measures="metric", degrees="C", locale="de_DE", time_zone="Europe/Vienna", currency="EUR")


def page_of(source: str, value: Any, settings: DisplaySettings) -> str:
    with display.use(settings):
        return Template("{% load coldset recipes %}" + source).render(Context({"value": value})).replace(NO_BREAK, "~")


@pytest.mark.parametrize(
    ("source", "value", "us", "eu"),
    [
        ("{{ value|mass }}", Decimal(1000), "2.2~lb", "1~kg"),
        ("{{ value|minutes_per_mass }}", Decimal(2), "0.91~min per lb", "2~min per kg"),
        ("{{ value|in_length }}", Decimal(5), "2~in", "5~cm"),
        ("{{ value|temperature }}", Decimal(5), "41~°F", "5~°C"),
        ("{{ value|degrees }}", Decimal(5), "41~°F", "5~°C"),
        ("{{ value|distance }}", Decimal("16.09344"), "10~mi", "16,1~km"),
        ("{{ value|volume }}", Decimal(500), "17~fl oz", "500~ml"),
        ("{{ value|duration }}", 95, "1~h 35~min", "1~h 35~min"),
        ("{{ value|hours }}", Decimal(72), "3~days", "3~days"),
        ("{{ value|clock }}", time(16), "4:00~PM", "16:00"),
        ("{{ value|day }}", date(2026, 12, 19), "Saturday, December 19, 2026", "Saturday, 19~December 2026"),
        ("{{ value|measure }}", "2.5 cup", "2~½~cups", "2~½~cups"),
        ("{{ value|line_amount }}", "1/2 cup", "½~cup", "½~cup"),
    ],
)
def test_the_unit_stays_with_its_number(source: str, value: Any, us: str, eu: str) -> None:
    assert page_of(source, value, US) == us
    assert page_of(source, value, EU) == eu


def test_it_stays_with_it_inside_a_translated_sentence() -> None:
    source = (
        "{% load i18n %}{% blocktranslate with time=value|duration %}Hold at most {{ time }}.{% endblocktranslate %}"
    )
    assert page_of(source, 20, US) == "Hold at most 20~min."


def test_a_plain_mail_has_ordinary_spaces() -> None:
    assert page_of("{% autoescape off %}{{ value|clock }}{% endautoescape %}", time(16), US) == "4:00 PM"


def test_nothing_stays_nothing_and_words_may_break() -> None:
    assert page_of("{{ value|clock }}{{ value|mass }}", None, US) == ""
    assert unbroken("as full as it fits") == "as full as it fits"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("16:00 to 16:45", "16:00 to 16:45"),
        ("4:00 PM to 4:45 PM", "4:00~PM to 4:45~PM"),
        ("4:00 p.m. to 4:45 p.m.", "4:00~p.m. to 4:45~p.m."),
        ("2 or 3 cups", "2 or 3~cups"),
        ("17 fl oz", "17~fl oz"),
        ("19 Dec 2026", "19~Dec 2026"),
        ("2 dashes, 3 quarts, 1 dozen", "2~dashes, 3~quarts, 1~dozen"),
        ("5 mice", "5 mice"),
    ],
)
def test_only_a_unit_stays_with_a_number(text: str, shown: str) -> None:
    assert unbroken(text).replace(NO_BREAK, "~") == shown
