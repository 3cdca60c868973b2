"""The first steps and the starter figures in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.first_steps import selectors as select
from catalog.first_steps.selectors import FirstStep
from catalog.first_steps.services import Names


@dataclass(frozen=True, slots=True)
class _Words:
    """A step: its name, why, what happens without it, and the names of the pages it is done on."""

    name: str
    why: str
    without: str
    address: str


_STEPS: Final = {
    select.KITCHEN: _Words(
        marked("Your kitchen"),
        marked("Its name, country and e-mail address stand on every quote. The country proposes the rest."),
        marked("Without it nothing can be quoted."),
        "kitchen-profile",
    ),
    select.FIGURES: _Words(
        marked("Starter figures"),
        marked("Tax, pay, margin, working hours and monthly costs: what a price is made of besides ingredients."),
        marked(
            "Without tax, pay and a margin no product has a price. The others can wait: each says what counts then."
        ),
        "first-figures",
    ),
    select.INGREDIENTS: _Words(
        marked("Ingredients"),
        marked("Tick what you buy; weights by the cup, waste and compositions come with it."),
        marked("An ingredient can also be added from the line of a recipe that needs it."),
        "ingredients-common",
    ),
    select.PRICES: _Words(
        marked("Prices"),
        marked("A pack and its price make the cost of everything it is in."),
        marked("Without a price what uses the ingredient cannot be costed."),
        "ingredients",
    ),
    select.RECIPE: _Words(
        marked("A first recipe"),
        marked("Lines as you write them on paper, the yield, and the steps with their minutes."),
        marked("Without a recipe a product has nothing in it."),
        "recipe-new",
    ),
    select.PRODUCT: _Words(
        marked("A first product"),
        marked("What the customer buys: how much of which recipe, its box, its servings."),
        marked("Without a product there is nothing to quote."),
        "product-new",
    ),
    select.QUOTE: _Words(
        marked("A first quote"),
        marked("Enter an inquiry, choose the products, look at the price, and send."),
        marked("This list is gone once a quote is sent."),
        "inquiry-new",
    ),
}


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step on the page; ``next`` is the first that is not done."""

    name: str
    why: str
    without: str
    url: str
    done: bool
    next: bool


def steps_shown(steps: Iterable[FirstStep]) -> list[StepShown]:
    """Write the steps; the first that is left is the next."""
    found: list[StepShown] = []
    is_next_named = False
    for step in steps:
        words = _STEPS[step.code]
        is_next = not step.done and not is_next_named
        is_next_named = is_next_named or is_next
        found.append(
            StepShown(
                gettext(words.name),
                gettext(words.why),
                gettext(words.without),
                reverse(words.address),
                step.done,
                is_next,
            )
        )
    return found


def starter_names() -> Names:
    """Return what the rows of starter figures are called; the owner renames them where she likes."""
    return Names(
        tax=gettext("Desserts"),
        role=gettext("Pastry work"),
        rule=gettext("Everything"),
        oven=gettext("Oven"),
        refrigerator=gettext("Refrigerator"),
        rent=gettext("Rent and energy"),
        other=gettext("Other monthly costs"),
    )
