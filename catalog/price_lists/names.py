"""Finding the ingredient that a supplier's words name, and those that may be the same under another spelling."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache
from typing import Final

from catalog.pantry.common import Common, common_ingredients, common_of
from catalog.pantry.free_by import same_name
from catalog.pantry.models import Ingredient
from catalog.records.near_names import Near, NearIndex, words_of


@dataclass(slots=True)
class Subject:
    """What a row is about: an ingredient, or one that the import adds (``pk`` None; ``base`` once a pack was read)."""

    pk: int | None
    name: str
    base: str
    density: Decimal | None = None
    grams_each: Decimal | None = None
    common: Common | None = None


@dataclass(frozen=True, slots=True)
class Likely:
    """What a supplier's words may mean: an ingredient of the kitchen, or a common one that it does not have yet.

    ``subject`` is None for the latter, ``name`` is what either is called. ``beyond`` are words that the name does not
    account for; it is ``certain`` where there are none and the name is written in full.
    """

    name: str
    subject: Subject | None
    certain: bool
    beyond: tuple[str, ...] = ()


class Names:
    """Ingredients by name, code, words and what they are commonly called, in ``country`` where they are new."""

    def __init__(self, ingredients: Iterable[Ingredient], country: str = "US") -> None:
        self._country = country
        self._exact: dict[str, Subject] = {}
        self._bare: dict[str, list[Subject]] = {}
        self._words: dict[frozenset[str], Subject] = {}
        self._common: dict[str, Subject] = {}
        self._near: NearIndex[Subject] = NearIndex()
        for ingredient in ingredients:
            subject = Subject(
                ingredient.pk, ingredient.name, ingredient.base, ingredient.density, ingredient.grams_each
            )
            self.add(subject)
            self._exact[ingredient.code.lower()] = subject

    def add(self, subject: Subject) -> None:
        """Add an ingredient, or one that the list adds."""
        self._exact.setdefault(tidy(subject.name), subject)
        self._bare.setdefault(_bare(subject.name), []).append(subject)
        self._words.setdefault(frozenset(words_of(subject.name)), subject)
        self._near.add(subject.name, subject)
        if common := common_of(subject.name):
            self._common.setdefault(common.key, subject)

    def also_called(self, names: Mapping[str, int]) -> None:
        """Let a supplier's own words, in lower case, name ingredients by their keys; names of the kitchen go before."""
        known = {subject.pk: subject for subject in self._exact.values()}
        for words, pk in names.items():
            if pk in known and words not in self._exact:
                self._exact[words] = known[pk]

    def named(self, item: str) -> Subject | None:
        """Return the one of that name or code, or of that name without punctuation where only one can be meant."""
        loose = self._bare.get(_bare(item), [])
        return self._exact.get(tidy(item)) or (loose[0] if len(loose) == 1 else None)

    def likely(self, item: str) -> Likely | None:
        """Return what may be meant: the same words in another order, commonly called so, or a near name.

        Common names keep things apart that look alike: milk powder is nearer to "Milk powder, whole" than to the
        kitchen's "Whole milk". Another percentage than the name has, or one more, makes it uncertain: chocolate of 64%
        is not chocolate of 70-85%.
        """
        found = self._meant(item)
        if found is not None and found.certain and not _percentages(item) <= _percentages(found.name):
            return replace(found, certain=False)
        return found

    def _meant(self, item: str) -> Likely | None:
        if same := self._words.get(frozenset(words_of(item))):
            return Likely(same.name, same, certain=True)
        if common := common_of(item):
            return self._commonly(common, item, certain=not _is_general(common, item))
        own, listed = self._near.nearest(item), common_near(item)
        if listed and (own is None or listed.nearness > own.nearness):
            return self._commonly(listed.thing, item, _is_certain(listed), listed.beyond)
        return Likely(own.thing.name, own.thing, _is_certain(own), own.beyond) if own else None

    def likely_there(self, item: str) -> Subject | None:
        """Return the ingredient of the kitchen that is likely meant; None also where a common one is nearer."""
        likely = self.likely(item)
        return likely.subject if likely else None

    def _commonly(self, common: Common, item: str, certain: bool, beyond: tuple[str, ...] = ()) -> Likely:
        """Return the kitchen's own of what is commonly called so, or the common one by the list's name for it."""
        subject = self._common.get(common.key)
        if subject is not None:
            # Light brown sugar and dark are both commonly brown: what the kitchen's own name adds has to be there.
            accounted = {word for name in (item, *common.names.values()) for word in words_of(name)}
            return Likely(subject.name, subject, certain and accounted.issuperset(words_of(subject.name)), beyond)
        name = item if common_of(item) and not item.isupper() else common.name(self._country)
        return Likely(name, None, certain, beyond)


_PERCENTAGE: Final = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*[-–]\s*(\d+(?:[.,]\d+)?))?\s*%")


def _percentages(name: str) -> set[tuple[str, str]]:
    """Return the percentages of a name: each from and to, the latter empty where it is one figure."""
    return {(low.replace(",", "."), high.replace(",", ".")) for low, high in _PERCENTAGE.findall(name)}


def _is_general(common: Common, item: str) -> bool:
    """Return whether one word, such as butter, stands for what has several names: it can mean another of them."""
    return len(words_of(item)) == 1 and all(len(words_of(name)) > 1 for name in common.names.values())


def _is_certain(near: Near[Subject] | Near[Common]) -> bool:
    return near.full and not near.beyond


@lru_cache(maxsize=10_000)
def common_near(item: str) -> Near[Common] | None:
    """Return the common ingredient whose names are nearest; a long list is compared again after each correction."""
    return _common_index().nearest(item)


@cache
def _common_index() -> NearIndex[Common]:
    index: NearIndex[Common] = NearIndex()
    for common in common_ingredients().values():
        for name in common.called:
            index.add(name, common)
    return index


def name_to_add(item: str) -> str:
    """Return the name under which an item that nothing is known of is added: not in a list's capitals."""
    name = " ".join(item.split())
    return name.capitalize() if name.isupper() and " " in name else name


def tidy(name: str) -> str:
    """Return a name in lower case with single spaces, as names are compared."""
    return " ".join(name.lower().split())


#: A pack's size among a supplier's words: 5 kg, 12/1 qt, 4 x 2.5 kg, 140 ct.
_SIZE: Final = re.compile(
    r"(?<!\w)(?:\d+ ?[x×/] ?)?\d+(?:[.,/]\d+)? ?-?(?:#|(?:kg|g|gr|mg|lbs?|oz|fl\.? ?oz|l|lt|ltr|lit(?:er|re)s?|ml|cl"
    r"|gal|gallons?|qts?|quarts?|pts?|pints?|ct|count|pcs?|ea|each|dz|doz|dozen|st|stk|stück)\b)",
    re.IGNORECASE,
)


def same_article(words: str, other: str) -> bool:
    """Return whether a supplier's words are of one article: the letters and digits are, but for those of a size."""
    return same_name(_SIZE.sub(" ", words), _SIZE.sub(" ", other))


def _bare(name: str) -> str:
    """Return a name without punctuation, as suppliers often write it."""
    return " ".join(re.findall(r"\w+", name.lower()))
