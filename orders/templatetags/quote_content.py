"""Filters and tags for a quote's content on the quote page, in mails and in documents."""

from datetime import UTC, datetime

from django import template
from django.utils import timezone

from catalog.pantry.presenters import allergen_words
from orders.documents.content import QuoteContent
from orders.quotes.draft.allergens import clashes
from orders.records.window_presenters import names_words

register = template.Library()

CAUTION = (
    "The allergens are those of the ingredients in each recipe. Everything is made in one kitchen, so traces of others "
    "are possible. If somebody at your table has an allergy, speak with us before you approve."
)
HOLDING_CAUTION = (
    "This is for food that comes to you cold. Where you are, the local food code holds: if it asks for less "
    "time or more cold, go by that."
)


@register.filter
def one_line(text: str) -> str:
    """Write several lines as one, with commas."""
    return ", ".join(part for line in text.splitlines() if (part := line.strip(" ,")))


@register.filter
def zone_name(moment: datetime) -> str:
    """Name the kitchen's zone at that moment, such as ``EST (UTC−05:00)``."""
    local = timezone.localtime(moment)
    offset = local.strftime("%z")
    sign = "−" if offset.startswith("-") else "+"
    stated = f"UTC{sign}{offset[1:3]}:{offset[3:5]}"
    name = local.tzname() or ""
    return f"{name} ({stated})" if name.isalpha() and name != "UTC" else stated


@register.filter
def utc(moment: datetime) -> str:
    """Write a moment in coordinated universal time."""
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"


@register.filter
def allergen_clashes(content: QuoteContent) -> str:
    """Return the desserts with allergens the guests cannot eat, and those allergens."""
    contained = {line.product: line.allergens for line in content.lines}
    names = {line.product: line.name for line in content.lines}
    found = clashes(contained, names, content.event.allergies)
    return "; ".join(f"{one.product} ({allergen_words(one.allergens)})" for one in found)


@register.simple_tag
def allergen_caution() -> str:
    """Return the caution about lists of allergens."""
    return CAUTION


@register.filter
def holding_lines(content: QuoteContent) -> list[tuple[str, str]]:
    """Return each holding instruction once, with its desserts; those shared by several come last."""
    ways: dict[str, list[str]] = {}
    for line in content.lines:
        for words in dict.fromkeys(part.strip() for part in line.holding.splitlines() if part.strip()):
            ways.setdefault(words, []).append(line.name)
    held: list[tuple[str, str]] = []
    for words, names in sorted(ways.items(), key=lambda way: len(way[1]) > 1):
        for_whom = _whom(names, len(content.lines))
        if held and held[-1][1] == for_whom:
            held[-1] = (f"{held[-1][0]}\n{words}", for_whom)
        else:
            held.append((words, for_whom))
    return held


def _whom(names: list[str], all_of_them: int) -> str:
    return "All desserts" if len(names) == all_of_them > 1 else names_words(names)


@register.simple_tag
def holding_caution() -> str:
    """Return the caution above the holding times, once per document."""
    return HOLDING_CAUTION
