"""What something made of ingredients contains, may contain, is free of by the answers given, or was not checked for.

Everything is cautious one way: what nobody answered is never free, and a kind that nobody named is every kind.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cache
from typing import Final

from catalog.pantry.allergens import ALLERGENS, NOT_NAMED, asked_of, covered
from catalog.pantry.diets import DIET_FACTS, DIETS, RAW_EGG
from catalog.pantry.named_codes import codes_in, codes_named, named_beside
from catalog.pantry.other_needs import is_other, names_with, other_words
from costing.contract import Ingredient

MAY: Final = "may"
FREE: Final = "free"
CONTAINS: Final = "contains"


@dataclass(frozen=True, slots=True)
class Declaration:
    """Codes of what is in it, may be in it by a supplier's label, was checked and is not, and was not checked yet.

    Codes are those of allergens and of ``DIET_FACTS``. ``names`` gives the species or kinds of a code. ``nothing`` is
    true where no ingredient is entered at all: then nothing is known, and all is not checked. ``texts`` are the names
    of what is in it, each with what it and its label's list of ingredients say.
    """

    contains: frozenset[str] = frozenset()
    may: frozenset[str] = frozenset()
    free: frozenset[str] = frozenset()
    unchecked: frozenset[str] = frozenset()
    names: Mapping[str, frozenset[str]] = field(default_factory=dict)
    nothing: bool = False
    texts: frozenset[tuple[str, str]] = frozenset()

    @property
    def allergens(self) -> tuple[str, ...]:
        """The allergens it contains, in the order of the list."""
        return _ordered(self.contains - DIET_FACTS.keys())

    @property
    def may_allergens(self) -> tuple[str, ...]:
        """The allergens it may contain."""
        return _ordered(self.may - DIET_FACTS.keys())

    @property
    def unchecked_allergens(self) -> tuple[str, ...]:
        """The allergens it was not checked for."""
        return _ordered(self.unchecked - DIET_FACTS.keys())


_PLACES: Final = {one.code: at for at, one in enumerate(ALLERGENS)}


def _ordered(codes: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(codes, key=lambda code: (_PLACES.get(code, len(_PLACES)), code)))


@cache
def questions(which: str) -> frozenset[str]:
    """Return every code an ingredient is asked for under a legal list, without the one asked of eggs only."""
    return frozenset(asked_of(which)) | (DIET_FACTS.keys() - {RAW_EGG})


def declared(allergens: Iterable[str], answers: Mapping[str, str], which: str, *, touches: bool = True) -> Declaration:
    """Return what one ingredient's answers say under a legal list.

    What does not touch the food was asked enough by that; what it contains counts all the same. Egg counts as raw until
    it is said to be pasteurized, and where nobody checked for egg, raw egg is not checked either; whether it is baked
    or cooked later is for the recipe to say. Traces of egg are no raw egg.
    """
    contains = {*allergens, *(code for code, answer in answers.items() if answer == CONTAINS)}
    may = {code for code, answer in answers.items() if answer == MAY} - contains
    free = _spelled_out(code for code, answer in answers.items() if answer == FREE) - contains - may
    asked = questions(which)
    if not touches:
        free |= asked - contains - may
    unchecked = set(asked) - contains - may - free
    if answers.get(RAW_EGG) == FREE or {"eggs"} & (free | may):
        free.add(RAW_EGG)
    else:
        (contains if "eggs" in contains else unchecked).add(RAW_EGG)
    return Declaration(frozenset(contains), frozenset(may), frozenset(free), frozenset(unchecked))


def _spelled_out(codes: Iterable[str]) -> set[str]:
    """Return the codes with all that is in the groups among them."""
    named = set(codes)
    return named | {one.code for one in ALLERGENS if one.group in named}


def declared_of(ingredient: Ingredient, which: str, *, in_recipe: bool = False) -> Declaration:
    """Return what an ingredient of a Book declares under a legal list; what is in a recipe touches the food."""
    answers = dict(ingredient.allergen_answers)
    touches = ingredient.touches_food or in_recipe
    found = declared(ingredient.allergens, answers, which, touches=touches)
    beside = dict(ingredient.allergen_names)
    words = "\n".join([ingredient.name, ingredient.label_list, *beside.values()])
    texts = {(ingredient.name, words)} if touches else ()
    names = {code: frozenset({name}) for code, name in beside.items()}
    # What own words name is not free of it, whatever was answered.
    belied = found.free & named_beside(beside, found.contains | found.may).keys()
    free, unchecked = found.free - belied, found.unchecked | belied
    return replace(found, free=free, unchecked=unchecked, names=names, texts=frozenset(texts))


def together(parts: Iterable[Declaration], which: str) -> Declaration:
    """Return what several declare together: free only of what all of them are free of."""
    every = list(parts)
    if not every:
        return Declaration(unchecked=questions(which) | {RAW_EGG}, nothing=True)
    contains = frozenset[str]().union(*(part.contains for part in every))
    may = frozenset[str]().union(*(part.may for part in every)) - contains
    unchecked = frozenset[str]().union(*(part.unchecked for part in every)) - contains - may
    names: dict[str, frozenset[str]] = {}
    for part in every:
        for code, named in part.names.items():
            names[code] = names.get(code, frozenset()) | named
    nothing = any(part.nothing for part in every)
    free, texts = frozenset.intersection(*(part.free for part in every)), (part.texts for part in every)
    return Declaration(contains, may, free, unchecked, names, nothing, frozenset[tuple[str, str]]().union(*texts))


def called(found: Declaration, name: str, *, shown: bool = True) -> Declaration:
    """Return a declaration of what has a name of its own, which may say what is in it.

    The name of a recipe is the kitchen's own and not ``shown``: customers read the ingredient.
    """
    return replace(found, texts=found.texts | {(name if shown else "", name)})


class Serves(StrEnum):
    """Whether something serves a guest's need."""

    FREE = "free"
    MAY_CONTAIN = "may"
    CONTAINS = "contains"
    NOT_CHECKED = "unchecked"


@dataclass(frozen=True, slots=True)
class NeedAnswer:
    """Whether something serves a need, and the codes that decide it."""

    serves: Serves
    codes: tuple[str, ...] = ()


def answer_to(need: str, found: Declaration, which: str) -> NeedAnswer:
    """Return whether something serves a need under a legal list: an allergen, a group of them, or a diet.

    Traces count for allergens, not for diets. What no list has is in it by a name, or was not checked; so is an
    allergen that the list never asks for and nobody answered.
    """
    if is_other(need):
        return _answer_to_words(need, found)
    diet = DIETS.get(need)
    avoided = diet.excludes if diet else covered(need)
    if inside := avoided & found.contains:
        return NeedAnswer(Serves.CONTAINS, _ordered(inside))
    if not diet and (inside := avoided & found.may):
        return NeedAnswer(Serves.MAY_CONTAIN, _ordered(inside))
    asked = questions(which) | {RAW_EGG}
    # What a list never asks for is asked when a guest needs it.
    needed = (avoided & asked) or (avoided - NOT_NAMED.keys())
    open_ = needed - found.free - (found.may if diet else frozenset())
    # Pine nuts, where the law's nuts are others, and every nut of the law was answered.
    beyond = avoided - asked - found.free - NOT_NAMED.keys()
    if not diet and (inside := codes_named(beyond, found.texts)):
        return NeedAnswer(Serves.CONTAINS, _ordered(inside))
    return NeedAnswer(Serves.NOT_CHECKED, _ordered(open_)) if open_ else NeedAnswer(Serves.FREE)


def _answer_to_words(need: str, found: Declaration) -> NeedAnswer:
    """Return whether something serves a need in own words: never free of it, for nobody asked an ingredient about that.

    What the words name of the list counts by the answers as well: "hazelnut oil" is not for whoever serves hazelnuts.
    """
    named, avoided = names_with(need, found.texts), _avoided_by(need)
    contains = _ordered(avoided & found.contains)
    if named or contains:
        return NeedAnswer(Serves.CONTAINS, (*contains, *named))
    if may := _ordered(avoided & found.may):
        return NeedAnswer(Serves.MAY_CONTAIN, may)
    return NeedAnswer(Serves.NOT_CHECKED, (need,))


@cache
def _avoided_by(need: str) -> frozenset[str]:
    """Return the codes of ingredients that somebody is not given whose need, in own words, names them."""
    return frozenset[str]().union(*(covered(code) for code in codes_in(other_words(need))))
