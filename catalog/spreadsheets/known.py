"""What the kitchen has already, as rows of a spreadsheet name it: ingredients with their parts, recipes."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final, Protocol, TypeVar

from catalog.pantry.models import Ingredient
from catalog.price_lists.comparison import subject_new
from catalog.price_lists.names import Names, Subject, tidy
from catalog.records.near_names import words_of

#: After the name of a recipe where an ingredient has the same.
RECIPE: Final = " (recipe)"
#: After the name of an ingredient that is packed with a product where a recipe has the same.
PACKAGING: Final = " (packaging)"


@dataclass(frozen=True, slots=True)
class Good:
    """An ingredient, or a part of one, that a row names; ``subject.pk`` is None while it is only added."""

    subject: Subject
    part: int | None = None

    @property
    def key(self) -> tuple[int | str, int | None]:
        """Two of one key are the same."""
        return self.subject.pk or self.subject.name.casefold(), self.part


class Pantry:
    """All ingredients and their parts by the labels that lines have; two queries."""

    def __init__(self) -> None:
        self.ingredients = list(Ingredient.objects.prefetch_related("parts"))
        self.names = Names(self.ingredients)
        self.labels: dict[str, Good] = {}
        self.label_of: dict[tuple[int, int | None], str] = {}
        for ingredient in self.ingredients:
            self._add(ingredient)
        self._new: dict[str, Good] = {}

    def _add(self, ingredient: Ingredient) -> None:
        label = fresh(self.labels, ingredient.name, ingredient.code)
        subject = Subject(ingredient.pk, ingredient.name, ingredient.base, ingredient.density, ingredient.grams_each)
        self._label(label, ingredient.pk, Good(subject))
        for part in ingredient.parts.all():
            name = f"{ingredient.name}: {part.code}"
            piece = Subject(ingredient.pk, name, ingredient.base, part.density, part.grams_each)
            self._label(f"{label}: {part.code}", ingredient.pk, Good(piece, part.pk))

    def _label(self, label: str, pk: int, good: Good) -> None:
        self.labels.setdefault(folded(label), good)
        self.label_of[pk, good.part] = label

    def named(self, text: str) -> Good | None:
        """Return what a text names: by its label, or the name or code in another spelling."""
        exact = self.labels.get(folded(text))
        if exact is not None:
            return exact
        subject = self.names.named(text)
        return Good(subject) if subject else None

    def added(self, name: str) -> Good:
        """Return an ingredient that is added under this name: one for all rows."""
        return self._new.setdefault(tidy(name), Good(subject_new(" ".join(name.split()))))

    def likely(self, text: str) -> str:
        """Return the label of an ingredient, or of a part such as a yolk, that a text may mean; empty for none."""
        likely = self.names.likely_there(text)
        if likely is not None:
            return likely.name
        words = set(words_of(text))
        parts = (good for good in self.labels.values() if good.part is not None)
        names = (part.subject.name for part in parts)
        return next((name for name in names if words <= set(words_of(name)) and words & _part_words(name)), "")


def _part_words(name: str) -> set[str]:
    return set(words_of(name.rpartition(": ")[2]))


def folded(text: str) -> str:
    """Return a name as labels are compared."""
    return " ".join(text.replace(" :", ":").split()).casefold()


def fresh(taken: Iterable[str], name: str, code: str) -> str:
    """Return a name as a label; with its code where another has that label."""
    name = " ".join(name.split())
    return f"{name} [{code}]" if name.casefold() in taken else name


class Coded(Protocol):
    """A record with a name and a code."""

    name: Any
    code: Any


Record = TypeVar("Record", bound=Coded)


def labelled(records: Iterable[Record]) -> dict[str, Record]:
    """Return recipes or products by their labels in lower case, in their order."""
    labels: dict[str, Record] = {}
    for one in records:
        labels[folded(fresh(labels, one.name, one.code))] = one
    return labels


def label_of(label: str, one: Coded) -> str:
    """Return the label of a record as it is written: its name, with its code where another has that name."""
    name = " ".join(one.name.split())
    return name if folded(name) == label else f"{name} [{one.code}]"
