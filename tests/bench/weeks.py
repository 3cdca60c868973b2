"""Weeks of an invented kitchen, feasible by construction: loads that a plan made at random had room for.

Six desserts over ten components, some of them with components of their own; short holds for batters and setting
creams, ovens with two temperatures at a time between them, molds, racks, two kinds of cold, a mixer, hands. More than
half of the orders leave on Friday and Saturday.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from costing.plan.placing import Placing
from costing.plan.problem import (
    HANDS,
    Batch,
    Component,
    Element,
    Kitchen,
    Level,
    Making,
    Need,
    Order,
    Problem,
    Resource,
    Size,
    SizeOnDemand,
    Use,
)

DAY = 1440
DAYS = 15
GRID = 5
#: Opening and closing from Monday on [min]; closed on Sundays: 66.5 hours a week.
HOURS = (*((7 * 60, 18 * 60),) * 5, (6 * 60, 17 * 60 + 30))


def step(name: str, least: int, longest: int = 0, /, temp: float | None = None, **uses: int) -> Element:
    """Return a step; one that cannot be drawn out has no longest."""
    return Element(name, least, longest or least, tuple(Use(code, amount) for code, amount in uses.items()), temp)


def sizes(amounts: tuple[int, ...], *elements: Element, needs: tuple[Need, ...] = ()) -> tuple[Size, ...]:
    """Return a component's sizes: half as long again by hand for each size."""
    found = []
    for number, most in enumerate(amounts):
        grown = tuple(
            Element(
                one.name,
                one.least + 5 * number * (HANDS in {use.resource for use in one.uses}),
                one.longest + 5 * number * (HANDS in {use.resource for use in one.uses}),
                one.uses,
                one.temperature,
            )
            for one in elements
        )
        found.append(
            Size(most, Making(grown, tuple(Need(n.element, n.component, n.amount * (number + 1)) for n in needs)))
        )
    return tuple(found)


COMPONENTS = (
    Component("dough", sizes((3000, 6000), step("mix", 20, hands=1, mixer=1), step("rest", 60, 4320, cold=1))),
    Component("sponge", sizes((2000, 4000), step("whip", 25, hands=1, mixer=1), step("hold", 0, 40))),
    Component(
        "cream",
        sizes((2000, 5000), step("cook", 25, hands=1), step("cool", 60, 300, cold=1), step("hold", 0, 2880, cold=1)),
    ),
    Component("curd", sizes((2000, 4000), step("cook", 30, hands=1), step("hold", 90, 4320, cold=1))),
    Component(
        "mousse", sizes((1500, 3000), step("fold", 30, hands=1), step("hold", 0, 30), needs=(Need(0, "cream", 400),))
    ),
    Component("glaze", sizes((3000,), step("cook", 25, hands=1), step("hold", 120, 4320, cold=1))),
    Component("butter cream", sizes((2500, 5000), step("whip", 30, hands=1, mixer=1), step("hold", 0, 1440, cold=1))),
    Component("panna", sizes((3000, 6000), step("warm", 20, hands=1), step("hold", 0, 60))),
    Component("compote", sizes((2500,), step("cook", 25, hands=1), step("hold", 60, 2880, cold=1))),
    Component("choux", sizes((2000, 4000), step("cook", 30, hands=1, mixer=1), step("hold", 0, 30))),
)


def tart(n: int) -> Making:
    return Making(
        (
            step("line", 30 + -(-n // 5) * 5, hands=1, ring=n),
            step("chill", 60, 1440, ring=n, cold=-(-n // 6)),
            step("bake", 30, temp=165, oven=-(-n // 4), ring=n),
            step("cool", 30, 240, rack=-(-n // 6)),
            step("fill", 20, hands=1),
            step("set", 120, 1440, cold=-(-n // 4)),
            step("finish", 30, hands=1),
            step("pack", 15, hands=1),
            step("hold", 0, 720, cold=-(-n // 4)),
        ),
        (Need(0, "dough", 90 * n), Need(4, "curd", 80 * n)),
    )


def layers(n: int) -> Making:
    return Making(
        (
            step("pour", 15, hands=1, tin=n),
            step("bake", 35, temp=175, oven=n, tin=n),
            step("cool", 60, 300, rack=n),
            step("fill", 20 + 5 * n, hands=1),
            step("chill", 120, 1440, cold=n),
            step("coat", 20 + 10 * n, hands=1),
            step("pack", 15, hands=1),
            step("hold", 0, 1440, cold=n),
        ),
        (Need(0, "sponge", 450 * n), Need(3, "cream", 300 * n), Need(5, "butter cream", 350 * n)),
    )


def domes(n: int) -> Making:
    return Making(
        (
            step("pour", 20, hands=1, dome=n),
            step("freeze", 360, 4320, dome=n, freezer=-(-n // 6)),
            step("glaze", 30, hands=1),
            step("thaw", 240, 720, cold=-(-n // 6)),
            step("pack", 10, hands=1),
            step("hold", 0, 480, cold=-(-n // 6)),
        ),
        (Need(0, "mousse", 70 * n), Need(2, "glaze", 40 * n)),
    )


def cups(n: int) -> Making:
    return Making(
        (
            step("pour", 20, hands=1),
            step("set", 240, 1440, cold=-(-n // 10)),
            step("top", 20, hands=1),
            step("pack", 15, hands=1),
            step("hold", 0, 720, cold=-(-n // 10)),
        ),
        (Need(0, "panna", 90 * n), Need(2, "compote", 30 * n)),
    )


def puffs(n: int) -> Making:
    return Making(
        (
            step("pipe", 30, hands=1),
            step("bake", 35, temp=190, oven=-(-n // 20)),
            step("cool", 30, 180, rack=-(-n // 20)),
            step("fill", 30, hands=1),
            step("pack", 10, hands=1),
            step("hold", 0, 240, cold=-(-n // 20)),
        ),
        (Need(0, "choux", 25 * n), Need(3, "cream", 30 * n)),
    )


def slabs(n: int) -> Making:
    return Making(
        (
            step("press", 20, hands=1),
            step("bake", 25, temp=170, oven=n),
            step("cool", 45, 600, rack=n),
            step("top", 20, hands=1),
            step("chill", 90, 1440, cold=n),
            step("cut", 30, hands=1),
            step("pack", 15, hands=1),
            step("hold", 0, 2880, cold=n),
        ),
        (Need(0, "dough", 800 * n), Need(3, "compote", 500 * n)),
    )


DESSERTS = ((tart, 6, 24), (layers, 1, 4), (domes, 12, 36), (cups, 20, 60), (puffs, 40, 80), (slabs, 1, 3))


def kitchen_of(people: int) -> Kitchen:
    """Return the kitchen with so many people at a time."""
    shifts = [
        (day * DAY + HOURS[day % 7][0], day * DAY + HOURS[day % 7][1]) for day in range(DAYS) if day % 7 < len(HOURS)
    ]
    resources = (
        Resource(HANDS, people, levels=tuple(Level(begin, end, people) for begin, end in shifts)),
        Resource("oven", 8, 2, True, 10.0),
        Resource("mixer", 2),
        Resource("cold", 150),
        Resource("freezer", 40),
        Resource("rack", 30),
        Resource("ring", 72),
        Resource("dome", 108),
        Resource("tin", 12),
    )
    return Kitchen(GRID, DAYS * DAY, 0, resources, tuple(shifts))


def leaving(random: Random) -> int:
    """Return when an order leaves in the second week [min]."""
    day = random.choices(range(6), (8, 8, 10, 16, 22, 36))[0]
    return (7 + day) * DAY + random.randrange(9 * 12, 17 * 12) * GRID


def load(random: Random, code: str) -> Batch:
    """Return a load of one of the desserts."""
    make, least, most = random.choice(DESSERTS)
    return Batch(code, make(random.randint(least, most)))


def week(people: int, orders: int = 60, seed: int = 1, share: float = 0.9, most: int = 6) -> Problem:
    """Return a week that can be kept: its loads all have a place in a plan made at random.

    Parameters
    ----------
    people : int
        Hands at a time.
    orders : int
        How many orders.
    seed : int
        Of the random choices.
    share : float
        How much of one week's hands to use at most.
    most : int
        Loads of an order at most.
    """
    random = Random(seed * 1000 + people)
    kitchen = kitchen_of(people)
    hands = people * sum(end - begin for begin, end in HOURS)
    wished = []
    for number in range(orders):
        time = leaving(random)
        batches = tuple(load(random, f"o{number}/{at}") for at in range(most))
        wished.append(Order(f"o{number}", ((time, time),), batches))
    placing = Placing(Problem(kitchen, tuple(wished), COMPONENTS))
    # The first loads of all orders come first, so that every order has one.
    loads = [(at, random.random(), order, order.batches[at]) for order in wished for at in range(most)]
    placed: set[str] = set()
    for _, _, order, batch in sorted(loads, key=lambda one: one[:2]):
        if used(placing) >= share * hands:
            break
        if placing.put(batch.code, order.windows[0][0] // GRID, begin=lambda slots: at_random(random, slots)):
            placed.add(batch.code)
    found = (Order(one.code, one.windows, tuple(b for b in one.batches if b.code in placed)) for one in wished)
    return Problem(kitchen, tuple(one for one in found if one.batches), COMPONENTS)


def for_several(problem: Problem) -> Problem:
    """Return the same week with the loads that are not full open to several orders of half a day.

    With a load for each order it can be kept, so it can with fewer.
    """
    made = {make(n): (make, n, most) for make, least, most in DESSERTS for n in range(least, most + 1)}

    def taken(batch: Batch) -> Batch:
        make, n, most = made[batch.making]
        needs = (Need(0, make.__name__, n),)
        return batch if n == most else replace(batch, making=Making((Element("taken", 0, 0, attended=False),), needs))

    orders = (replace(one, batches=tuple(map(taken, one.batches))) for one in problem.orders)
    loads = (
        Component(make.__name__, tuple(SizeOnDemand(n, make) for n in range(1, most + 1)), apart=720)
        for make, _, most in DESSERTS
    )
    return replace(problem, orders=tuple(orders), components=(*loads, *problem.components))


def at_random(random: Random, slots: int) -> int:
    """Return one of the last slots of a set: within two days of the last."""
    top = slots.bit_length() - 1
    able = [slot for slot in range(max(0, top - 576), top + 1) if slots >> slot & 1]
    return random.choice(able)


def used(placing: Placing) -> int:
    """Return the hands a plan uses [min]."""
    return sum(
        use.amount * element.least
        for place in placing.places.values()
        for element in place.chain.elements
        for use in element.uses
        if use.resource == HANDS
    )
