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
from catalog.web import display


@dataclass(frozen=True, slots=True)
class _Words:
    """A step: its name, why, what happens or counts without it, and the name of the page it is done on."""

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
        marked("Tax, pay and margin: what a price is made of besides ingredients."),
        marked("Without them no product has a price, so they cannot be skipped. A first guess is enough."),
        "first-figures",
    ),
    select.MONTHLY: _Words(
        marked("Monthly costs"),
        marked("Rent, energy, insurance: each order pays its part of them."),
        marked("Without them no overhead is counted: the margin has to pay for it."),
        "first-figures",
    ),
    select.HOURS: _Words(
        marked("Working hours"),
        marked("From them follows when work on an order has to start."),
        marked("Without them every hour of the week counts as working time: look at the times before you promise one."),
        "first-figures",
    ),
    select.DELIVERY: _Words(
        marked("Delivery"),
        marked("What the vehicle and the driver cost by distance is charged to the order."),
        marked("Without it only pickup can be quoted."),
        "first-figures",
    ),
    select.STATIONS: _Words(
        marked("Oven and refrigerator"),
        marked("Cooling is computed with the air of the refrigerator; steps name where they happen."),
        marked(
            "Without a refrigerator no cooling is computed in one: what is made hot is not quoted until you state how "
            "it is measured."
        ),
        "first-figures",
    ),
    select.INGREDIENTS: _Words(
        marked("Ingredients"),
        marked("Check what you buy; weights by the cup, waste and compositions come with it."),
        marked("Without the list, add each ingredient from the line of the recipe that needs it."),
        "ingredients-common",
    ),
    select.PRICES: _Words(
        marked("Prices"),
        marked("A pack and its price make the cost of everything it is in."),
        marked("Without a price recipes can be written, but what uses the ingredient cannot be costed or quoted."),
        "ingredients",
    ),
    select.RECIPE: _Words(
        marked("A first recipe"),
        marked("Lines as you write them on paper, the yield, and the steps with their minutes."),
        marked("Without a recipe a product has nothing in it."),
        "recipe-new",
    ),
    select.COOLING: _Words(
        marked("How hot recipes cool"),
        marked("What leaves hot says how warm it leaves, in which vessel it stands and where it chills."),
        marked("Without it, quotes with such a recipe are stopped until you record what is measured instead."),
        "recipes",
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


#: Recipes that are named at most; the list on the day stays a list.
_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step on the page; ``next`` is the first that is neither done nor skipped."""

    code: str
    name: str
    why: str
    without: str
    url: str
    done: bool
    skipped: bool
    optional: bool
    next: bool


def steps_shown(steps: Iterable[FirstStep], *, quote_url: str = "") -> list[StepShown]:
    """Write the steps; the first that is left is the next. ``quote_url`` is the inquiry that is being quoted."""
    found: list[StepShown] = []
    is_next_named = False
    for step in steps:
        words = _STEPS[step.code]
        is_next = not step.done and not step.skipped and not is_next_named
        is_next_named = is_next_named or is_next
        found.append(
            StepShown(
                code=step.code,
                name=gettext(words.name),
                why=_why(step, words),
                without=gettext(words.without),
                url=_url(step, words, quote_url),
                done=step.done,
                skipped=step.skipped,
                optional=step.optional,
                next=is_next,
            )
        )
    return found


def _why(step: FirstStep, words: _Words) -> str:
    """Write why a step is done, and for which recipes it still is to be."""
    if not step.recipes:
        return gettext(words.why)
    names = [name for _, name in step.recipes]
    shown = display.joined(names) if len(names) <= _MOST else display.joined([*names[: _MOST - 1], _others(names)])
    open_for = gettext("Not entered yet for: %(names)s.") % {"names": shown}
    return f"{gettext(words.why)} {open_for}"


def _others(names: list[str]) -> str:
    return gettext("%(n)s more") % {"n": len(names) - _MOST + 1}


def _url(step: FirstStep, words: _Words, quote_url: str) -> str:
    if step.code == select.QUOTE and quote_url:
        return quote_url
    return reverse("recipe-answers", args=[step.recipes[0][0]]) if step.recipes else reverse(words.address)


def step_address(code: str) -> str:
    """Return where a step is done; the day for one that does not exist."""
    return reverse(_STEPS[code].address if code in _STEPS else "day")


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
