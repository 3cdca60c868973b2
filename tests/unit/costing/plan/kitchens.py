"""Small kitchens at random, with what they promise."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random

from costing.plan.placing import Placing
from costing.plan.problem import (
    HANDS,
    VEHICLE,
    Batch,
    Component,
    Element,
    Kitchen,
    Level,
    Making,
    Need,
    Order,
    Plan,
    Problem,
    Resource,
    ShelfLife,
    Size,
    SizeOnDemand,
    Use,
)
from costing.plan.questions import Question
from costing.plan.repair import Repair

DAY = 1440


def kitchen(random: Random, days: int = 3) -> Kitchen:
    """Return a kitchen with shifts, ovens alike, a rack, a cold room and molds."""
    shifts = []
    for day in range(days):
        begin = day * DAY + random.choice((300, 360, 420))
        shifts.append(Level(begin, begin + random.choice((360, 480, 600)), random.randint(1, 3)))
    out = (Level(DAY + 400, DAY + 700, 1),) if random.random() < 0.3 else ()
    resources = (
        Resource(HANDS, 3, levels=tuple(shifts)),
        Resource("oven", random.randint(1, 3), random.randint(1, 2), True, random.choice((0.0, 10.0, 20.0)), out=out),
        Resource("rack", random.randint(2, 4)),
        Resource("cold", random.randint(2, 6)),
        Resource("mold", random.randint(2, 4)),
    )
    return Kitchen(5, days * DAY, 300, resources, tuple((one.begin, one.end) for one in shifts))


def _element(random: Random, name: str, found: Kitchen) -> Element:
    kind = random.choice(("work", "bake", "rest", "chill"))
    if kind == "work":
        return Element(name, length := 5 * random.randint(2, 12), length, (Use(HANDS, random.choice((1, 1, 1, 2))),))
    if kind == "bake":
        places = next(one.places for one in found.resources if one.code == "oven")
        uses = (Use("oven", random.randint(1, places)), Use("mold", random.randint(1, 2)))
        return Element(name, length := 5 * random.randint(4, 14), length, uses, random.choice((160.0, 170.0, 190.0)))
    least = 5 * random.randint(4, 24)
    longest = least + 5 * random.choice((6, 24, 200))
    uses = (Use("rack" if kind == "rest" else "cold", random.randint(1, 2)),)
    return Element(name, least, longest, uses, None, random.random() < 0.8)


def making(random: Random, found: Kitchen, needed: tuple[str, ...] = (), amount: int = 1) -> Making:
    """Return one to four steps and a stay, which may need components and may have to be fresh."""
    steps = [_element(random, f"step {number}", found) for number in range(random.randint(1, 4))]
    stay = Element("hold", random.choice((0, 0, 30)), 5 * random.choice((6, 24, 144)), (Use("cold", 1),))
    needs = tuple(Need(random.randrange(len(steps)), code, amount) for code in needed)
    life = ShelfLife(random.randrange(len(steps)), 5 * random.randint(12, 200)) if random.random() < 0.2 else None
    return Making((*steps, stay), needs, life)


def order(random: Random, code: str, found: Kitchen, needed: tuple[str, ...], amount: int, days: int = 3) -> Order:
    """Return an order of one to three batches."""
    begin = random.randint(1, days - 1) * DAY + 5 * random.randint(80, 200)
    window = (begin, begin + 5 * random.choice((0, 0, 6, 24)))
    batches = tuple(
        Batch(f"{code}/{at}", making(random, found, tuple(one for one in needed if random.random() < 0.4), amount))
        for at in range(random.randint(1, 3))
    )
    return Order(code, (window,), batches)


def pooled(seed: int, orders: int = 6) -> Problem:
    """Return a kitchen whose batches share components, in two sizes."""
    random = Random(seed)
    found = kitchen(random)
    base = Component("base", (Size(3, making(random, found)), Size(8, making(random, found))))
    cream = Component("cream", (Size(6, making(random, found, ("base",) if random.random() < 0.5 else ())),))
    promised = tuple(order(random, f"o{at}", found, ("base", "cream"), random.randint(1, 2)) for at in range(orders))
    return Problem(found, promised, (base, cream))


def with_loads_for_several(seed: int, orders: int = 6) -> Problem:
    """Return the same kitchen with loads of buns and loaves beside it that may serve several orders."""
    random = Random(seed)
    problem = pooled(seed, orders)
    products = {name: (random.randint(3, 6), loaves(random, problem.kitchen)) for name in ("buns", "loaves")}
    promised = tuple(
        with_takings(random, one, {name: most for name, (most, _) in products.items()}) for one in problem.orders
    )
    loads = tuple(
        Component(
            name, tuple(SizeOnDemand(units, make) for units in range(1, most + 1)), apart=random.choice((240, 720))
        )
        for name, (most, make) in products.items()
    )
    return replace(problem, orders=promised, components=(*loads, *problem.components))


def loaves(random: Random, found: Kitchen, needed: tuple[str, ...] = ("base",)) -> Callable[[int], Making]:
    """Return how a load of so many units is made: more work and more places for more of them."""
    places = next(one.places for one in found.resources if one.code == "oven")
    each, hot = random.choice((5, 10)), random.choice((160.0, 190.0))
    bake, rest, hold = 5 * random.randint(4, 10), 5 * random.randint(0, 24), 5 * random.choice((12, 48, 144))
    needs = tuple(Need(0, code, 1) for code in needed if random.random() < 0.5)

    def make(units: int) -> Making:
        shape = Element("shape", 10 + each * units, 10 + each * units, (Use(HANDS, 1),))
        oven = (Use("oven", min(places, -(-units // 2))), Use("mold", min(2, units)))
        cooled = Element("cool", 10, 10 + rest, (Use("rack", 1),))
        stay = Element("hold", 0, hold, (Use("cold", 1),), attended=False)
        return Making((shape, Element("bake", bake, bake, oven, hot, False), cooled, stay), needs)

    return make


def with_takings(random: Random, one: Order, products: dict[str, int]) -> Order:
    """Return an order that takes of loads too, less than a whole one of each."""
    taken = tuple(
        Batch(f"{one.code}/{name}", Making((Element("taken", 0, 0, attended=False),), (Need(0, name, units),)))
        for name, most in products.items()
        if (units := random.randint(0, most - 1))
    )
    return replace(one, batches=(*one.batches, *taken))


def with_plan(seed: int, orders: int = 4) -> tuple[Problem, str]:
    """Return a kitchen with planned orders and an inquiry; a component of the inquiry is one batch."""
    random = Random(seed)
    found = kitchen(random)
    problem = Problem(found, (), ())
    for number in range(orders):
        more = order(random, f"o{number}", found, (), 1)
        tried = replace(problem, orders=(*problem.orders, more))
        plan = Question(tried, more.code, movable=False).run(nodes=200).plan
        if plan is None:
            continue
        places = plan.by_code()
        planned = tuple(replace(one, planned=places[one.code].boundaries) for one in more.batches)
        begins_late = all(one.planned is not None and one.planned[0] >= found.now for one in planned)
        fixed = begins_late and random.random() < 0.3
        planned = tuple(replace(one, fixed=fixed) for one in planned)
        problem = replace(problem, orders=(*problem.orders, replace(more, batches=planned)))
    needed: tuple[str, ...] = ()
    if random.random() < 0.5:
        needed = ("made",)
    inquiry = order(random, "inquiry", found, needed, 1)
    if any(one.making.needs for one in inquiry.batches):
        made = Component("made", (Size(100, making(random, found)),), True)
        problem = replace(problem, components=(made,))
    return replace(problem, orders=(*problem.orders, inquiry)), "inquiry"


def with_drives(seed: int, orders: int = 4) -> tuple[Problem, Plan, Order]:
    """Return a kitchen with vehicles, a plan of orders that are driven away, and an inquiry that is."""
    random = Random(seed)
    found = kitchen(random)
    vehicles = Resource(VEHICLE, 1, random.choice((1, 1, 2)), divided=True)
    found = replace(found, resources=(*found.resources, vehicles))
    wished = [_driven(random, order(random, f"o{number}", found, (), 1), vehicles.count) for number in range(orders)]
    placing = Placing(Problem(found, tuple(wished)))
    unplaced = Repair(placing, seed).first_plan()
    if unplaced:
        whole = [one for one in wished if not any(batch.code in unplaced for batch in one.batches)]
        placing = Placing(Problem(found, tuple(whole)))
        unplaced = Repair(placing, seed).first_plan()
        wished = [] if unplaced else whole
    plan = Plan() if unplaced else placing.plan()
    places = plan.by_code()
    planned = (
        replace(one, batches=tuple(replace(b, planned=places[b.code].boundaries) for b in one.batches))
        for one in wished
    )
    asked = _driven(random, order(random, "inquiry", found, (), 1), vehicles.count)
    return Problem(found, tuple(planned)), plan, asked


def _driven(random: Random, one: Order, vehicles: int) -> Order:
    minutes = 5 * random.randint(4, 40)
    uses = (Use(VEHICLE, 1, random.randrange(vehicles)), Use(HANDS, random.choice((1, 1, 2)), while_there=True))
    drive = Element("drive", minutes, minutes, uses, attended=False)
    return replace(one, batches=(Batch(f"{one.code}/drive", Making((drive,)), after=minutes), *one.batches))


def with_twins(seed: int) -> tuple[Problem, str]:
    """Return the same with an inquiry of three batches that are alike."""
    problem, asked = with_plan(seed, 2)
    *promised, inquiry = problem.orders
    first = replace(inquiry.batches[0], making=replace(inquiry.batches[0].making, needs=()))
    begin, end = inquiry.windows[0]
    alike = tuple(replace(first, code=f"{asked}/{at}") for at in range(3))
    more = Order(asked, ((begin, end + 120),), alike)
    return replace(problem, orders=(*promised, more), components=()), asked


def one_hour_of_buns(seed: int) -> tuple[Problem, Order]:
    """Return four orders that leave at one time and take of loads that may serve several, and one more that asks."""
    random = Random(seed)
    found = kitchen(random, 2)
    most, make = random.randint(3, 6), loaves(random, found, ())
    loads = Component("buns", tuple(SizeOnDemand(units, make) for units in range(1, most + 1)), apart=720)
    leaves = DAY + 5 * random.randint(80, 140)
    taken = [with_takings(random, Order(f"o{number}", ((leaves, leaves),), ()), {"buns": most}) for number in range(5)]
    found = replace(found, now=leaves - 5 * random.choice((random.randint(20, 60), 200)))
    own = replace(order(random, "own", found, (), 1, 2), windows=((leaves, leaves),))
    *promised, asked = [one for one in taken if one.batches] or [own]
    promised = [own, *promised][random.choice((0, 1, 1)) : random.randint(1, 5)]
    return Problem(found, tuple(promised), (loads,)), asked


def as_one_order(problem: Problem) -> Iterator[Problem]:
    """Yield the same with the loads made up in each way: whatever leaves at that time is one order then."""
    (loads,) = problem.components
    batches = [batch for one in problem.orders for batch in one.batches]
    amounts = [batch.making.needs[0].amount for batch in batches if batch.making.needs]
    own = tuple(batch for batch in batches if not batch.making.needs)
    for sums in {tuple(sorted(map(sum, parts))) for parts in partitions(amounts)}:
        if not sums or sums[-1] <= loads.sizes[-1].most:
            # They are made for orders that leave at one time, so each is one of that.
            made = tuple(Batch(f"load {at}", loads.sizes[units - 1].making) for at, units in enumerate(sums))
            yield Problem(problem.kitchen, (Order("all", problem.orders[-1].windows, (*own, *made)),))


def partitions(amounts: list[int]) -> Iterator[list[list[int]]]:
    """Yield each way to divide amounts into parts."""
    if not amounts:
        yield []
        return
    one, *others = amounts
    for parts in partitions(others):
        yield [[one], *parts]
        for at, part in enumerate(parts):
            yield [*parts[:at], [one, *part], *parts[at + 1 :]]
