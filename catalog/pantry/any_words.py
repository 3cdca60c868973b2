"""Whether any single word is one of food, of a need or of a reaction: where nothing is to be missed, such as a name.

All lists of the service together, in the six languages. It asks too often ("Rosemary Berry") and concludes nothing.
"""

from catalog.pantry.avoid_words import goes_on, names_feast
from catalog.pantry.diets import facts_asked, named_facts
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import is_known_word
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import leaves_out
from catalog.pantry.other_foods import families_in
from catalog.pantry.other_words import may_name_any_need


def has_any_word(text: str) -> bool:
    """Return whether a text has a word of a food, an allergen, a need, a reaction, or of what somebody leaves out."""
    return (
        may_name_any_need(text)
        or names_feast(text)
        or goes_on(text)
        or leaves_out(folded(text))
        or any(map(is_of_food, folded(text).split()))
    )


def is_of_food(word: str) -> bool:
    """Return whether one word is of a food, an allergen, or of what somebody does not eat."""
    plain = word.strip(".,;:!?'\"()-")
    facts = any(named_facts(plain)) or any(facts_asked(plain))
    return facts or bool(foods_named(plain)) or any(families_in(plain)) or is_known_word(plain)
