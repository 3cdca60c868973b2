"""What a Book's products are made of, as tables: all that no price of a pack changes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from costing.contract.book import Book, Recipe
from costing.requirements.book_tables import BookTables, BookTablesBuilder, OnDemand, widen


class BookStructure:
    """What products are made of: all of a Book's tables that no price of a pack changes.

    Parameters
    ----------
    book : Book
        A sound Book.
    """

    def __init__(self, book: Book) -> None:
        self.made_of = (book.kitchen, book.overhead, book.roles, book.stations, book.recipes, book.products)
        self.ingredients = book.ingredients
        self.recipes: tuple[Recipe, ...] = _users_first(book)
        self.recipe_at = {recipe.code: i for i, recipe in enumerate(self.recipes)}
        self.exact: BookTables[Fraction] = BookTablesBuilder(book, self.recipes, self.recipe_at).tables()
        self.wide: BookTables[Decimal] = widen(self.exact)
        self.slots_of = _slots_of(self.exact, len(book.ingredients))
        self.reached = OnDemand(len(book.products), self._reached)
        self.needed = OnDemand(len(book.products), self._needed)

    @cached_property
    def users(self) -> tuple[tuple[tuple[int, Fraction], ...], ...]:
        """The recipes that use each recipe, with how much a gram of them takes [g/g]."""
        return _users_of(self.exact)

    def is_of(self, book: Book) -> bool:
        """Return whether a Book differs in the packs of its ingredients at most, as far as these tables go.

        Parameters
        ----------
        book : Book
            Any Book.
        """
        made_of = (book.kitchen, book.overhead, book.roles, book.stations, book.recipes, book.products)
        if made_of != self.made_of or len(book.ingredients) != len(self.ingredients):
            return False
        pairs = zip(self.ingredients, book.ingredients, strict=True)
        return all(ours is theirs or replace(ours, packs=theirs.packs) == theirs for ours, theirs in pairs)

    def _reached(self, product: int) -> tuple[int, ...]:
        found: set[int] = set()
        waiting = [recipe for recipe, _ in self.exact.products[product].fill]
        while waiting:
            recipe = waiting.pop()
            if recipe not in found:
                found.add(recipe)
                waiting.extend(sub for sub, _ in self.exact.recipes[recipe].subs)
        return tuple(sorted(found))

    def _needed(self, product: int) -> frozenset[int]:
        slots = self.exact.slots
        found = {at for at, _ in self.exact.products[product].packaging}
        for recipe in self.reached[product]:
            found.update(slots[slot].ingredient for slot, _ in self.exact.recipes[recipe].uses)
        return frozenset(found)


def _slots_of(tables: BookTables[Fraction], ingredients: int) -> tuple[tuple[int, ...], ...]:
    """Return the slots of each ingredient."""
    found: list[list[int]] = [[] for _ in range(ingredients)]
    for slot, of in enumerate(tables.slots):
        found[of.ingredient].append(slot)
    return tuple(map(tuple, found))


def _users_of(tables: BookTables[Fraction]) -> tuple[tuple[tuple[int, Fraction], ...], ...]:
    """Return the recipes that use each recipe, with how much a gram of them takes [g/g]."""
    found: list[list[tuple[int, Fraction]]] = [[] for _ in tables.recipes]
    for user, row in enumerate(tables.recipes):
        for used, per_gram in row.subs:
            found[used].append((user, per_gram))
    return tuple(map(tuple, found))


def _users_first(book: Book) -> tuple[Recipe, ...]:
    """Order recipes so that each stands before what it uses."""
    users: dict[str, int] = {recipe.code: 0 for recipe in book.recipes}
    for recipe in book.recipes:
        for used in {line.recipe for line in recipe.lines if line.recipe is not None}:
            users[used] += 1
    ready = [recipe for recipe in book.recipes if not users[recipe.code]]
    for recipe in ready:
        for used in dict.fromkeys(line.recipe for line in recipe.lines if line.recipe is not None):
            users[used] -= 1
            if not users[used]:
                ready.append(book.recipe(used))
    return tuple(ready)
