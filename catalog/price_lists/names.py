"""Finding the ingredient that a supplier's words name, and those that may be the same under another spelling."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from catalog.pantry.common import Common, common_of
from catalog.pantry.models import Ingredient
from catalog.records.near_names import NearIndex, words_of


@dataclass(slots=True)
class Subject:
    """What a row is about: an ingredient, or one that the import adds (``pk`` None; ``base`` once a pack was read)."""

    pk: int | None
    name: str
    base: str
    density: Decimal | None = None
    grams_each: Decimal | None = None
    common: Common | None = None


class Names:
    """Ingredients by name, code, words and what they are commonly called."""

    def __init__(self, ingredients: Iterable[Ingredient]) -> None:
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

    def likely(self, item: str) -> Subject | None:
        """Return one that may be the same: the same words in another order, commonly called so, or a near name."""
        common = common_of(item)
        same = self._words.get(frozenset(words_of(item))) or (self._common.get(common.key) if common else None)
        return same or self._near.find(item)


def tidy(name: str) -> str:
    """Return a name in lower case with single spaces, as names are compared."""
    return " ".join(name.lower().split())


def _bare(name: str) -> str:
    """Return a name without punctuation, as suppliers often write it."""
    return " ".join(re.findall(r"\w+", name.lower()))
