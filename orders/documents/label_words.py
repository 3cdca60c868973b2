"""What the desserts and extras of a quote contain, may contain and were not checked for, and the diets they serve."""

from catalog.pantry.diets import ANIMAL
from catalog.pantry.presenters import allergen_words, diet_words, label_words
from orders.documents.content import Charge, Line, QuoteContent


def line_label(content: QuoteContent, line: Line, ask: str = "") -> str:
    """Write what a dessert contains, may contain and was not checked for."""
    names, which = line.allergen_names, content.allergen_list
    return label_words(line.allergens, line.may_contain, line.unchecked, which, names=names, ask=ask)


def line_diets(line: Line) -> str:
    """Write what is in a dessert that some guests do not eat, and the diets it serves."""
    facts = f"Made with {allergen_words(sorted(line.made_with, key=ANIMAL.__eq__))}. " if line.made_with else ""
    return f"{facts}{diet_words(line.diets)}{'.' if line.diets else ''}".strip()


def extra_label(content: QuoteContent, extra: Charge, ask: str = "") -> str:
    """Write what an extra contains if it is food or touches it; nothing of one sent before it was asked."""
    if extra.food == "none" or not content.allergen_list:
        return ""
    return label_words(extra.allergens, extra.may_contain, extra.unchecked, content.allergen_list, ask=ask)
