"""Problems that stop pricing as sentences, with the address of the page where each can be fixed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.db import models
from django.urls import reverse

from catalog.book.costing_sentences import error_sentence
from catalog.book.selectors import BookProblem
from catalog.pantry.models import Ingredient
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe
from catalog.records.presenters import reason_sentence
from catalog.records.reasons import Reason
from catalog.taxes.models import TaxCategory


@dataclass(frozen=True, slots=True)
class ShownProblem:
    """One problem that stops pricing: its code, a sentence, and the address where it can be fixed."""

    code: str
    message: str
    link: str


#: List of the Book -> rows of its things, and the name of their page.
_LISTS: Final[Mapping[str, tuple[type[models.Model], str]]] = {
    "ingredients": (Ingredient, "ingredient"),
    "recipes": (Recipe, "recipe"),
    "products": (Product, "product"),
    "price_rules": (PriceRule, "kitchen-rules-edit"),
    "roles": (Role, "kitchen-roles-edit"),
    "stations": (Station, "kitchen-stations-edit"),
    "taxes": (TaxCategory, "kitchen-taxes-edit"),
}
_PAGES: Final[Mapping[str, str]] = {
    "kitchen": "kitchen-profile",
    "overhead": "kitchen-overhead",
    "delivery": "kitchen-delivery",
}


def shown_problems(problems: Iterable[BookProblem]) -> list[ShownProblem]:
    """Write the problems that stop pricing, each with its page; one query for each list of the Book they refer to."""
    problems = list(problems)
    keys = {
        (kind, code): pk
        for kind in sorted({problem.kind for problem in problems if problem.kind in _LISTS})
        for code, pk in _LISTS[kind][0]._default_manager.values_list("code", "pk")
    }
    return [ShownProblem(problem.code, _sentence(problem), _link(problem, keys)) for problem in problems]


def _sentence(problem: BookProblem) -> str:
    if problem.error is None:
        return reason_sentence(problem.reason)
    params = {**problem.reason.params, "message": error_sentence(problem.error)}
    return reason_sentence(Reason(problem.reason.code, params))


def _link(problem: BookProblem, keys: Mapping[tuple[str, str], int]) -> str:
    if problem.kind in _PAGES:
        return reverse(_PAGES[problem.kind])
    pk = keys.get((problem.kind, problem.thing))
    return reverse(_LISTS[problem.kind][1], args=[pk]) if pk else ""
