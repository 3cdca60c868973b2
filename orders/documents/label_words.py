"""What the desserts and extras of a quote contain, may contain and were not checked for, and the diets they serve."""

from collections.abc import Iterable, Sequence

from django.utils.translation import gettext

from catalog.pantry.diets import ANIMAL
from catalog.pantry.presenters import allergen_words, diet_words, label_words
from orders.documents.content import Charge, Line, QuoteContent


def line_label(content: QuoteContent, line: Line, ask: str = "") -> str:
    """Write what a dessert contains, may contain and was not checked for."""
    names, which = line.allergen_names, content.allergen_list
    return label_words(line.allergens, line.may_contain, line.unchecked, which, names=names, ask=ask)


def line_diets(line: Line) -> str:
    """Write what is in a dessert that some guests do not eat, and the diets it serves."""
    return f"{line_facts(line)} {diet_words(line.diets)}{'.' if line.diets else ''}".strip()


def line_facts(line: Line) -> str:
    """Write what is in a dessert that some guests do not eat, besides allergens."""
    return facts_words(line.made_with)


def facts_words(codes: Iterable[str]) -> str:
    """Write what some guests do not eat besides allergens, such as "Made with gelatin."."""
    found = sorted(codes, key=ANIMAL.__eq__)
    return gettext("Made with %(facts)s.") % {"facts": allergen_words(found)} if found else ""


def diets_with_names(lines: Sequence[Line], of: int) -> list[tuple[str, str]]:
    """Return each diet that some of the lines serve with their names, or all of them where every one ``of`` so many."""
    serving = {diet: [line.name for line in lines if diet in line.diets] for line in lines for diet in line.diets}
    everything = gettext("all desserts")
    return [(diet, everything if len(names) == of > 1 else "; ".join(names)) for diet, names in serving.items()]


def extra_label(content: QuoteContent, extra: Charge, ask: str = "") -> str:
    """Write what an extra contains if it is food or touches it; nothing of one sent before it was asked."""
    if extra.food == "none" or not content.allergen_list:
        return ""
    label = label_words(extra.allergens, extra.may_contain, extra.unchecked, content.allergen_list, ask=ask)
    return f"{label} {facts_words(extra.made_with)}".strip()
