"""What each recipe and product made for some orders declares today, and whose needs among their guests it concerns."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from catalog.pantry.declarations import Declaration, NeedAnswer, Serves, answer_to
from catalog.products.declarations import BookDeclarations, declarations_of
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent
from orders.orders.models import Order
from orders.production.demand import Demand
from orders.quotes.draft.allergens import charge_declared, food_extras
from orders.quotes.draft.stated import product_answer


@dataclass(frozen=True, slots=True)
class GuestNeeds:
    """What guests of an order do not eat, of how many that is known, and what was written about it.

    Where there is nothing of that, ``asked_none`` tells whether they were asked and named none. ``content`` is what was
    approved.
    """

    order: Order
    needs: tuple[str, ...]
    counts: Mapping[str, int]
    notes: tuple[str, ...]
    asked_none: bool = False
    content: QuoteContent | None = None


@dataclass(frozen=True, slots=True)
class Concern:
    """A need among the guests of an order, and what something made for it says to that.

    ``spared`` is true of a part that goes only into desserts which contain it anyway: nobody who has the need eats it.
    """

    order: str
    need: str
    guests: int | None
    answer: NeedAnswer
    spared: bool = False


@dataclass(frozen=True, slots=True)
class MadeLabel:
    """What something made declares under the list of allergens ``which``, and the needs it concerns."""

    declared: Declaration
    which: str
    concerns: tuple[Concern, ...] = ()


@dataclass(frozen=True, slots=True)
class ExtraLabel:
    """An extra of an order that is food or touches it: nothing is made for it, and guests eat it all the same."""

    order: Order
    name: str
    label: MadeLabel


@dataclass(frozen=True, slots=True)
class MadeLabels:
    """The labels of all that is made for some orders, by code, and the needs among their guests."""

    products: Mapping[str, MadeLabel] = field(default_factory=dict)
    recipes: Mapping[str, MadeLabel] = field(default_factory=dict)
    guests: tuple[GuestNeeds, ...] = ()
    extras: tuple[ExtraLabel, ...] = ()


def made_labels(found: Demand) -> MadeLabels:
    """Return the labels of the products and recipes the orders need, by today's catalog."""
    declarations, guests = declarations_of(found.book), tuple(map(guest_needs, found.orders))
    of_product: dict[str, list[GuestNeeds]] = {}
    of_recipe: dict[str, list[tuple[GuestNeeds, list[str]]]] = {}
    for one in guests:
        products = {line.product.code for line in one.order.lines.all()} & found.units.keys()
        for code in products:
            of_product.setdefault(code, []).append(one)
        for code, into in _recipes_of(found, products).items():
            of_recipe.setdefault(code, []).append((one, into))
    return MadeLabels(
        products={
            code: _label(declarations.of(code), [(one, []) for one in rows], declarations, code)
            for code, rows in of_product.items()
        },
        recipes={code: _label(declarations.of_recipe(code), rows, declarations) for code, rows in of_recipe.items()},
        guests=guests,
        extras=tuple(extra for one in guests for extra in _extras(one, declarations)),
    )


def _extras(guests: GuestNeeds, declarations: BookDeclarations) -> Iterator[ExtraLabel]:
    content = content_agreed(guests.order.quote)
    for extra in food_extras(content):
        found = charge_declared(content, extra, declarations.which)
        yield ExtraLabel(guests.order, extra.name, _label(found, [(guests, [])], declarations))


def guest_needs(order: Order) -> GuestNeeds:
    """Return the needs an order was approved with, and those its inquiry names by now."""
    content, inquiry = content_agreed(order.quote), order.quote.inquiry
    counts = {need.need: need.guests for need in content.needs or () if need.guests is not None}
    notes = dict.fromkeys(note for note in (content.event.allergy_note, inquiry.allergy_note) if note)
    return GuestNeeds(
        order=order,
        needs=tuple(dict.fromkeys([*content.event.allergies, *inquiry.allergies])),
        counts={**counts, **inquiry.need_counts},
        notes=tuple(notes),
        asked_none=inquiry.asked_none,
        content=content,
    )


def _recipes_of(found: Demand, products: Iterable[str]) -> dict[str, list[str]]:
    """Return the recipes that some products take, each with the products it goes into."""
    compiled, into = found.compiled, dict[str, list[str]]()
    for code in products:
        for at in compiled.reached(compiled.product_at[code]):
            into.setdefault(compiled.recipes[at].code, []).append(code)
    return into


def _label(
    declared: Declaration,
    orders: Iterable[tuple[GuestNeeds, list[str]]],
    declarations: BookDeclarations,
    product: str = "",
) -> MadeLabel:
    """Return a label; of a ``product`` what its order was approved with counts beside today's answers."""
    which = declarations.which

    def of_order(one: GuestNeeds, code: str, need: str, today: NeedAnswer) -> NeedAnswer:
        return today if one.content is None or not code else product_answer(need, code, one.content, today)

    concerns = tuple(
        Concern(
            one.order.number,
            need,
            one.counts.get(need),
            of_order(one, product, need, answer_to(need, declared, which)),
            spared=bool(into)
            and all(
                of_order(one, code, need, declarations.answer(code, need)).serves == Serves.CONTAINS for code in into
            ),
        )
        for one, into in orders
        for need in one.needs
    )
    return MadeLabel(declared, which, concerns)
