"""How it is known that something is free of an allergen, where its name alone does not say what is in it.

One answer of three for all its allergens, recorded with the name that it was given for. What has another name, or is
bought where it was not bought before, is another good: what was answered "free" of the one before is asked again, and
where nobody was asked, as by an import, it is not checked any more.
"""

import unicodedata
from collections.abc import Iterable, Mapping
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import CONTAINS, FREE, MAY
from catalog.pantry.diets import DIET_FACTS, facts_asked, named_facts
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import is_ingredient_list, says_what_is_in_it
from catalog.pantry.models import LISTED, Ingredient
from catalog.pantry.named_codes import named_beside
from catalog.pantry.single_foods import is_single_food, plainly_packing

#: Keys of ``Ingredient.named_only``: the source with the name it is about, and who said so.
FREE_BY: Final = "free_by"
FREE_BY_WHO: Final = "free_by_who"
#: The same: the name before, where a change of it took answers back.
RENAMED: Final = "renamed"
#: The same: what a supplier's list calls it now, where that took answers back.
ARTICLE: Final = "article"
#: The same: from whom it was bought before, where a good of somebody else took answers back.
BOUGHT: Final = "bought"
#: The same: what was answered "free" and was taken back, its codes with a space between them.
WAS_FREE: Final = "was_free"
#: The same: a name of food of which somebody said that it never touches food.
OFF_FOOD: Final = "off_food"

LABEL: Final = "label"
OWN: Final = "own"
ASKED: Final = "asked"
#: The supplier's label, an own recipe, what the maker answered.
SOURCES: Final = (LABEL, OWN, ASKED)


def one_line(name: str) -> str:
    """Return a name with single spaces."""
    return " ".join(name.split())


def same_name(one: str, other: str) -> bool:
    """Return whether two names have the same letters and digits: they differ by capitals, spaces and marks at most."""
    return _signs(one) == _signs(other)


def _signs(name: str) -> str:
    every = unicodedata.normalize("NFKC", name).casefold()
    return "".join(one for one in unicodedata.normalize("NFC", every) if one.isalnum())


def source_value(source: str, name: str) -> str:
    """Return a source with the name that it is about, as it is stored and chosen."""
    return f"{source}:{one_line(name)}"


def source_of(value: str, name: str) -> str:
    """Return the source that was answered for just this name; empty where none was."""
    source, _, about = value.partition(":")
    return source if source in SOURCES and same_name(about, name) else ""


def source_missing(name: str, value: str) -> bool:
    """Return whether something of this name is free of anything only with a source, and has none."""
    return not is_single_food(name) and not source_of(value, name)


def is_known(named_only: Mapping[str, str], name: str) -> bool:
    """Return whether it is on record how it is known what something of this name is free of; a label's list will do."""
    return LISTED in named_only or bool(source_of(named_only.get(FREE_BY, ""), name))


def unasked(ingredient: Ingredient) -> bool:
    """Return whether nobody said, under its name as it is, how it is known what an ingredient is free of."""
    if not ingredient.touches_food:
        return bool(ingredient.named_only.get(OFF_FOOD) != ingredient.name)
    return not source_of(ingredient.named_only.get(FREE_BY, ""), ingredient.name)


def unproven_dropped(ingredient: Ingredient) -> None:
    """Take "free" of allergens from a row of a file where no form was filled in, and what it needs there is missing.

    That is how it is known, where its name does not say all that is in it; and the list of its label, where the name
    says nothing. What its own name says is in it is not free of that either, nor is what its own words beside an
    allergen name. The row is not saved.
    """
    answers, name = ingredient.allergen_answers, ingredient.name
    belied = {code for code, _ in named_facts(name)} | named_beside(ingredient.allergen_names, _held(ingredient)).keys()
    if not is_single_food(name) and not _is_proven(ingredient.named_only, name):
        belied |= answers.keys() - DIET_FACTS.keys()
    ingredient.allergen_answers = {
        code: answer for code, answer in answers.items() if answer != FREE or code not in belied
    }


def _held(ingredient: Ingredient) -> set[str]:
    answers = ingredient.allergen_answers
    return {*ingredient.allergens, *(code for code, answer in answers.items() if answer in (CONTAINS, MAY))}


def _is_proven(named_only: Mapping[str, str], name: str) -> bool:
    source = source_of(named_only.get(FREE_BY, ""), name)
    if is_ingredient_list(named_only.get(LISTED, "")):
        return True
    return source in (OWN, ASKED) or (source == LABEL and says_what_is_in_it(name))


def free_lost(*, before: str, name: str, answers: Mapping[str, str], touches_food: bool = True) -> bool:
    """Return whether another name takes back what was answered "free", or that it never touches food.

    Whatever the two names are: only packing that gets another name of packing still touches no food.
    """
    if same_name(before, name):
        return False
    return FREE in answers.values() if touches_food else not plainly_packing(name)


def free_in_note(*, note: str, allergens: Iterable[str], answers: Mapping[str, str]) -> tuple[str, ...]:
    """Return the allergens that a note names and that are answered "free" beside it."""
    free = {code for code, answer in answers.items() if answer == FREE}
    held = {*allergens, *(code for code, answer in answers.items() if answer in (CONTAINS, MAY))}
    return tuple(code for code in foods_named(note) if covered(code) & free and not covered(code) & held)


def note_against(ingredient: Ingredient) -> frozenset[str]:
    """Take back "free" of what an ingredient's note names; return the codes. The row is not saved."""
    if not ingredient.touches_food:
        return frozenset()
    answers = ingredient.allergen_answers
    named = free_in_note(note=ingredient.note, allergens=ingredient.allergens, answers=answers)
    every = frozenset[str]().union(*(covered(code) for code in named))
    gone = frozenset(code for code in every if answers.get(code) == FREE)
    if gone:
        ingredient.named_only = {**ingredient.named_only, WAS_FREE: _with(ingredient.named_only, gone)}
        ingredient.allergen_answers = {code: answer for code, answer in answers.items() if code not in gone}
    return gone


def was_free(named_only: Mapping[str, str]) -> tuple[str, ...]:
    """Return the codes that were answered "free" before and were taken back, in the order of the alphabet.

    The order they were stored in is the database's: PostgreSQL sorts the keys of a JSON object by their length.
    """
    return tuple(sorted(named_only.get(WAS_FREE, "").split()))


def _with(named_only: Mapping[str, str], codes: Iterable[str]) -> str:
    return " ".join(dict.fromkeys((*was_free(named_only), *codes)))


def taken_back(ingredient: Ingredient, why: str, words: str) -> None:
    """Take back "free" from what is another good, and what was said of its name and label.

    What it contains and may contain stays. ``why`` is RENAMED or BOUGHT, with what it was called, or who sold it,
    before, or ARTICLE with what it is called now. The row is not saved.
    """
    answers = ingredient.allergen_answers
    free = [code for code, answer in answers.items() if answer == FREE]
    ingredient.allergen_answers = {code: answer for code, answer in answers.items() if answer != FREE}
    codes = _with(ingredient.named_only, free)
    ingredient.named_only = {why: words} | ({WAS_FREE: codes} if codes else {})


def _named(name: str) -> frozenset[str]:
    facts = {code for code, _ in (*named_facts(name), *facts_asked(name))}
    return frozenset[str]().union(facts, *(covered(code) for code in foods_named(name)))


def renamed(ingredient: Ingredient, before: str) -> bool:
    """Take back "free" from an ingredient that got another name without being asked; return whether it lost any.

    What it contains and may contain stays; the list on its label was of what it was before. The row is not saved.
    """
    if not same_name(before, ingredient.name):
        gone = {LISTED, FREE_BY, FREE_BY_WHO}
        ingredient.named_only = {key: text for key, text in ingredient.named_only.items() if key not in gone}
    answers = ingredient.allergen_answers
    touches = ingredient.touches_food
    if not free_lost(before=before, name=ingredient.name, answers=answers, touches_food=touches):
        return False
    taken_back(ingredient, RENAMED, before)
    ingredient.touches_food = True
    return True


def article_changed(ingredient: Ingredient, words: str, *, another: bool) -> bool:
    """Take back "free" where a supplier's list calls what is bought by ``words``; return whether any was lost.

    That is so where the words name what it is free of, and its own name does not; and where they are of ``another``
    article than before, so that a label of the one before was read. The row is not saved.
    """
    free = {code for code, answer in ingredient.allergen_answers.items() if answer == FREE}
    named = (_named(words) - _named(ingredient.name)) & free
    if not free or not (named or another):
        return False
    taken_back(ingredient, ARTICLE, one_line(words))
    return True
