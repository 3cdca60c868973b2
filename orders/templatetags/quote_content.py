"""Filters and tags for a quote's content on the quote page, in mails and in documents."""

from datetime import UTC, datetime

from django import template
from django.utils import timezone

from catalog.kitchen.trace_words import trace_words
from catalog.pantry.diets import ANIMAL
from catalog.pantry.presenters import allergen_words, diet_words, label_words
from orders.documents.content import Charge, Line, QuoteContent
from orders.documents.need_words import NeedShown, need_shown
from orders.quotes.draft.allergens import LabelChange, SinceQuote, needs_of_lines
from orders.quotes.draft.presenters import since_needs, since_others, since_sentences
from orders.records.window_presenters import names_words

register = template.Library()
register.filter("since_shown", since_sentences)
register.filter("since_needs", since_needs)
register.filter("since_others", since_others)

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
def needs_shown(content: QuoteContent) -> list[NeedShown]:
    """Return the guests' needs in words: which desserts serve each, and which do not."""
    needs = needs_of_lines(content.lines, content.event.allergies) if content.needs is None else content.needs
    return [need_shown(need) for need in needs]


@register.filter
def needs_unmet(content: QuoteContent) -> list[NeedShown]:
    """Return the needs that some dessert of the table does not serve, in words."""
    return [need for need in needs_shown(content) if not need.met]


@register.simple_tag
def line_label(content: QuoteContent, line: Line, ask: str = "") -> str:
    """Write what a dessert contains, may contain and was not checked for."""
    names, which = line.allergen_names, content.allergen_list
    return label_words(line.allergens, line.may_contain, line.unchecked, which, names=names, ask=ask)


@register.simple_tag
def changed_of(since: SinceQuote, line: Line) -> LabelChange | None:
    """Return what changed about a dessert's allergens since the quote was sent; None where nothing did."""
    return since.of(line.product)


@register.filter
def today_label(change: LabelChange) -> str:
    """Write what a dessert declares today."""
    one = change.today
    return label_words(one.allergens, one.may_allergens, one.unchecked_allergens, change.which, names=one.names)


@register.simple_tag
def extra_label(content: QuoteContent, extra: Charge, ask: str = "") -> str:
    """Write what an extra contains if it is food or touches it; nothing of one sent before it was asked."""
    if extra.food == "none" or not content.allergen_list:
        return ""
    return label_words(extra.allergens, extra.may_contain, extra.unchecked, content.allergen_list, ask=ask)


@register.filter
def line_diets(line: Line) -> str:
    """Write what is in a dessert that some guests do not eat, and the diets it serves."""
    facts = f"Made with {allergen_words(sorted(line.made_with, key=ANIMAL.__eq__))}. " if line.made_with else ""
    return f"{facts}{diet_words(line.diets)}{'.' if line.diets else ''}".strip()


@register.filter
def cross_contact(content: QuoteContent) -> str:
    """Return what the kitchen says about traces, and the standing caution."""
    return trace_words(content.cross_contact)


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
