"""A kitchen's own problem: loads, molds, stations and components as its Book states them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from fractions import Fraction

from costing.contract import Book, Mold, Product, Recipe, RecipeLine, Station, Step, read_whole_book
from costing.contract.kitchen import ClosedDay, OpenHours, StationOut
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN, SAFE_WARM_WAIT_MIN
from costing.contract.products import Fill
from costing.measures.measure import parse_measure
from costing.plan.book_kitchen import days_of, kitchen_of
from costing.plan.checking import violations
from costing.plan.deriving import Deriving, Table
from costing.plan.placing import Placing
from costing.plan.problem import HANDS, VEHICLE, Element, Level, Order, Plan, Problem, Use
from costing.plan.promises import PromiseCheck
from costing.plan.repair import Repair
from costing.plan.verdicts import AS_PLANNED, IMPOSSIBLE
from costing.timing.chains import CoolingTime
from tests.integration.catalog.book.forms import whole_kitchen

MONDAY = date(2026, 11, 23)
"""The first day of a plan of two weeks, without a change of clocks."""
DAY = 24 * 60
STATED_MIN = read_whole_book(whole_kitchen()).kitchen.described.longest_wait_min
"""How long a batch may wait where no step says it, as this kitchen states."""


def book_of(product: Product, *recipes: Recipe, stations: tuple[Station, ...] = (), **more: object) -> Book:
    """Return a Book of one product, somebody there from 6:00 to 18:00 every day."""
    whole = read_whole_book(whole_kitchen())
    hours = tuple(OpenHours(day, time(6), time(18), 1) for day in range(7))
    facts = {
        "products": (product,),
        "recipes": recipes,
        "stations": stations,
        "hours": hours,
        "closed": (),
        "monthly_costs": (),
        "price_rules": (),
        **more,
    }
    return replace(whole, **facts)  # type: ignore[arg-type]  # any field


BAKER = read_whole_book(whole_kitchen()).roles[0].code
SUGAR = read_whole_book(whole_kitchen()).ingredients[0].code
COLD = Station("cold", "refrigerator", Fraction(0), places=20)
OVEN = Station("oven", "oven", Fraction(0), places=2)
RINGS = Mold("Ring, 25 cm", owned=4)
CREAM = Recipe(
    "cream",
    "Set cream",
    (RecipeLine(parse_measure("1 kg"), ingredient=SUGAR),),
    batch_limit=parse_measure("8 kg"),
    steps=(Step("mix", "Whip", BAKER, Fraction(10), Fraction(2), hold_max=Fraction(30)),),
)
CAKE = Product(
    "cake",
    "Mousse cake, 25 cm",
    "cakes",
    12,
    "food",
    load=4,
    fill=(Fill("cream", parse_measure("1200 g")),),
    steps=(
        Step("fill", "Fill", BAKER, Fraction(10), Fraction(3)),
        Step("freeze", "Set overnight", station="cold", minutes=Fraction(720)),
        Step("finish", "Unmold and glaze", BAKER, Fraction(5), Fraction(4)),
    ),
    mold=RINGS.name,
    keeps_hours=Fraction(48),
)


def cakes(**more: object) -> Book:
    return book_of(CAKE, CREAM, stations=(COLD,), molds=(RINGS,), **more)


def problem_of(book: Book, *tables: Table, days: int = 14, now: int = 0) -> Problem:
    deriving = Deriving(book, {}, lambda code, grams: {})
    kitchen = kitchen_of(book, days_of(book, MONDAY, days), now)
    return Problem(kitchen, tuple(map(deriving.order, tables)), deriving.components(tables))


def planned(problem: Problem) -> tuple[list[str], Plan]:
    placing = Placing(problem)
    repair = Repair(placing)
    repair.first_plan()
    unplaced = repair.repair(200)
    plan = placing.plan()
    placed = {one.code for one in plan.placed}
    placed_ones = [
        replace(one, batches=tuple(each for each in one.batches if each.code in placed)) for one in problem.orders
    ]
    assert violations(replace(problem, orders=tuple(one for one in placed_ones if one.batches)), plan) == []
    return unplaced, plan


def asked(book: Book, units: int, *, day: int, hour: int = 16, before: tuple[Table, ...] = ()) -> str:
    """Return the verdict on one more order, that leaves at an hour of a day."""
    leaves = day * DAY + hour * 60
    table = Table("?", {CAKE.code: units}, ((leaves, leaves + 30),))
    problem = problem_of(book, *before, table)
    order = problem.orders[-1]
    others = replace(problem, orders=problem.orders[:-1])
    unplaced, plan = planned(others)
    assert not unplaced
    return PromiseCheck(others, plan).check(order, order.windows)[0].verdict


def test_each_load_takes_as_many_molds_as_it_fills_until_its_last_step_ends() -> None:
    order = problem_of(cakes(), Table("A", {"cake": 10}, ((5 * DAY, 5 * DAY),))).orders[0]
    assert [batch.code for batch in order.batches] == ["A/cake/1", "A/cake/2", "A/cake/3"]
    rings = [
        [use.amount for element in batch.making.elements for use in element.uses if use.resource == "mold:Ring, 25 cm"]
        for batch in order.batches
    ]
    assert rings == [[4] * 4, [4] * 4, [2] * 4]
    assert all(
        not any(use.resource.startswith("mold") for use in one.making.elements[-1].uses) for one in order.batches
    )


def test_steps_become_hands_what_runs_by_itself_and_the_wait_for_the_next() -> None:
    batch = problem_of(cakes(), Table("A", {"cake": 4}, ((5 * DAY, 5 * DAY),))).orders[0].batches[0]
    found = [(one.name, one.least, one.longest, one.uses[:1]) for one in batch.making.elements]
    assert found == [
        ("product:cake/0", 22, 25, (Use(HANDS, 1),)),
        ("product:cake/0", 0, STATED_MIN, (Use("mold:Ring, 25 cm", 4),)),
        ("product:cake/1", 720, 720 + SAFE_COLD_WAIT_MIN, (Use("station:cold", 1),)),
        ("product:cake/2", 21, 25, (Use(HANDS, 1),)),
        ("product:cake/3", 0, 48 * 60, (Use("station:cold", 1),)),
    ]


def test_cooling_lengthens_a_step_where_it_takes_longer_than_stated() -> None:
    book = cakes()
    deriving = Deriving(book, {"cake": {1: CoolingTime(900, 5.0)}}, lambda code, grams: {})
    order = deriving.order(Table("A", {"cake": 4}, ((0, 0),)))
    assert order.batches[0].making.elements[2].least == 900


def test_forty_cakes_that_set_overnight_in_four_rings_are_not_ready_for_a_day_that_is_near() -> None:
    """Seen: they were. The rings alone take ten nights."""
    assert asked(cakes(), 40, day=3) == IMPOSSIBLE
    assert asked(cakes(), 4, day=3) == AS_PLANNED
    # Cakes keep for two days: three loads, not ten, can be made in time, however long before the event it is asked.
    assert asked(cakes(), 40, day=13) != AS_PLANNED


def test_orders_of_one_hour_share_the_rings() -> None:
    """Seen: thirty orders for one half hour were confirmed."""
    leaves = 4 * DAY + 16 * 60
    before = tuple(Table(f"O{number}", {"cake": 4}, ((leaves, leaves + 30),)) for number in range(2))
    assert asked(cakes(), 4, day=4, before=before[:1]) == AS_PLANNED
    assert asked(cakes(), 12, day=4, before=before) != AS_PLANNED


def test_nothing_begins_and_nothing_is_moved_while_nobody_is_there() -> None:
    """Seen: work was planned at night, carried by nobody."""
    leaves = 5 * DAY + 16 * 60
    problem = problem_of(cakes(), Table("A", {"cake": 8}, ((leaves, leaves),)))
    unplaced, plan = planned(problem)
    assert not unplaced
    for placed in plan.placed:
        making = next(
            (batch.making for batch in problem.orders[0].batches if batch.code == placed.code),
            problem.components[0].sizes[placed.size].making,
        )
        for element, begin in zip(making.elements, placed.boundaries[:-1], strict=True):
            if element.attended:
                assert 6 * 60 <= begin % DAY <= 18 * 60, (placed.code, element.name, begin)


def test_a_closed_day_has_no_hands() -> None:
    closed = tuple(ClosedDay(date(2026, 11, 23 + day)) for day in range(3))
    assert asked(cakes(closed=closed), 4, day=3, hour=10) == IMPOSSIBLE
    assert asked(cakes(), 4, day=3, hour=10) == AS_PLANNED


def test_what_was_filled_from_one_batch_is_whipped_once_for_two_orders() -> None:
    leaves = 4 * DAY + 16 * 60
    rings = replace(RINGS, owned=8)
    book = replace(cakes(), molds=(rings,))
    tables = [Table(code, {"cake": 2}, ((leaves, leaves),)) for code in "AB"]
    _, plan = planned(problem_of(book, *tables))
    whipped = [one for one in plan.placed if one.component]
    assert [len(one.takings) for one in whipped] in ([2], [1, 1])
    assert sum(taking.amount for one in whipped for taking in one.takings) == 4 * 1200


def test_one_batch_serves_several_formats_and_orders_while_it_keeps_and_the_bowl_takes_it() -> None:
    leaves = 4 * DAY + 16 * 60
    small = replace(CAKE, code="small", name="Mousse cake, 15 cm", load=8, mold=None)
    lasting = replace(CREAM, steps=(replace(CREAM.steps[0], hold_max=Fraction(300)),))

    def batches(cream: Recipe, units: int = 1) -> list[list[str]]:
        book = replace(book_of(CAKE, cream, stations=(COLD,), molds=(RINGS,)), products=(CAKE, small))
        tables = (Table("A", {"cake": units}, ((leaves, leaves),)), Table("B", {"small": units}, ((leaves, leaves),)))
        unplaced, plan = planned(problem_of(book, *tables))
        assert not unplaced
        return sorted(sorted(one.batch for one in place.takings) for place in plan.placed if place.component)

    assert batches(lasting) == [["A/cake/1", "B/small/1"]]
    # Twice four of 1.2 kg are more than the bowl of 8 kg takes.
    assert batches(lasting, 4) == [["A/cake/1"], ["B/small/1"]]
    # Where it has to be used at once, each is filled from a batch of its own.
    at_once = replace(CREAM, steps=(replace(CREAM.steps[0], hold_max=Fraction(0)),))
    assert batches(at_once) == [["A/cake/1"], ["B/small/1"]]


def test_a_batch_is_never_more_than_the_bowl_takes() -> None:
    component = problem_of(cakes(), Table("A", {"cake": 40}, ((5 * DAY, 5 * DAY),))).components[0]
    assert [size.most for size in component.sizes] == [1000, 2000, 4000, 6000, 8000]


def test_sizes_of_what_has_no_limit_are_the_same_whatever_is_ordered() -> None:
    """Seen: an order that was canceled took the size away in which a batch was made for another too."""
    free = replace(CREAM, batch_limit=None)
    book = book_of(CAKE, free, stations=(COLD,), molds=(RINGS,))
    few, some, many = (
        problem_of(book, Table("A", {"cake": units}, ((0, 0),))).components[0] for units in (1, 40, 2000)
    )
    assert [one.most for one in few.sizes] == [one.most for one in some.sizes]
    assert [one.making for one in few.sizes] == [one.making for one in some.sizes]
    assert [one.most for one in many.sizes][: len(few.sizes)] == [one.most for one in few.sizes]
    assert many.sizes[-1].most >= 2000 * 1200


def test_loads_in_one_oven_keep_to_its_temperature_and_places() -> None:
    bake = Step("bake", "Bake", BAKER, Fraction(5), station="oven", minutes=Fraction(45), temperature_c=Fraction(170))
    product = replace(CAKE, steps=(bake, *CAKE.steps[1:]), mold=None)
    order = problem_of(book_of(product, CREAM, stations=(OVEN, COLD)), Table("A", {"cake": 4}, ((0, 0),))).orders[0]
    first, second = order.batches[0].making.elements[:2]
    assert (first.least, first.temperature, first.uses) == (5, 170.0, (Use(HANDS, 1), Use("station:oven", 1)))
    assert (second.least, second.temperature, second.attended) == (40, 170.0, False)


def test_a_station_of_which_nobody_says_how_much_goes_in_is_not_counted() -> None:
    product = replace(CAKE, mold=None)
    cold = replace(COLD, places=None)
    problem = problem_of(book_of(product, CREAM, stations=(cold,), molds=()), Table("A", {"cake": 4}, ((0, 0),)))
    assert [one.code for one in problem.kitchen.resources] == [HANDS, VEHICLE]
    assert not problem.orders[0].batches[0].making.elements[2].uses


def test_what_has_no_load_is_divided_until_nobody_stands_at_it_too_long() -> None:
    product = replace(CAKE, load=None, mold=None)
    order: Order = problem_of(book_of(product, CREAM, stations=(COLD,)), Table("A", {"cake": 200}, ((0, 0),))).orders[0]
    work = [batch.making.elements[0].least for batch in order.batches]
    assert max(work) <= 240
    assert sum(work) >= 600


def test_a_mold_that_holds_several_is_not_counted_as_one_for_each() -> None:
    """Seen: a load of 60 squares, cut from sheets of which 8 are owned, took 60 sheets."""
    sheets = replace(CAKE, load=60)
    order = problem_of(book_of(sheets, CREAM, stations=(COLD,), molds=(RINGS,)), Table("A", {"cake": 60}, ((0, 0),)))
    assert not any(
        use.resource.startswith("mold") for one in order.orders[0].batches[0].making.elements for use in one.uses
    )


def test_what_has_no_load_is_made_in_as_many_molds_as_there_are() -> None:
    free = replace(CAKE, load=None)
    order = problem_of(
        book_of(free, CREAM, stations=(COLD,), molds=(RINGS,)), Table("A", {"cake": 10}, ((0, 0),))
    ).orders[0]
    assert len(order.batches) == 3


def elements_of(product: Product, units: int = 4, **more: object) -> list[Element]:
    book = book_of(product, CREAM, stations=(COLD,), molds=(RINGS,), **more)
    return list(problem_of(book, Table("A", {"cake": units}, ((0, 0),))).orders[0].batches[0].making.elements)


def rings_at(elements: list[Element]) -> list[int]:
    return [sum(use.amount for use in one.uses if use.resource.startswith("mold")) for one in elements]


def test_a_mold_is_free_after_the_step_that_says_so() -> None:
    assert rings_at(elements_of(replace(CAKE, mold_free_after=2))) == [4, 4, 4, 0, 0]


def test_a_mold_that_leaves_is_in_use_until_then() -> None:
    assert rings_at(elements_of(replace(CAKE, mold_leaves=True))) == [4] * 5


def test_a_load_takes_the_places_that_its_product_states() -> None:
    places = [
        use.amount
        for one in elements_of(replace(CAKE, load_places=(("refrigerator", 4),)))
        for use in one.uses
        if use.resource == "station:cold"
    ]
    assert places == [4, 4]


def test_a_batch_takes_a_place_for_so_many_kilograms_in_the_cold() -> None:
    chilled = replace(
        CREAM, kg_per_place=Fraction(2), steps=(*CREAM.steps, Step("chill", station="cold", minutes=Fraction(60)))
    )
    sizes = (
        problem_of(book_of(CAKE, chilled, stations=(COLD,), molds=(RINGS,)), Table("A", {"cake": 4}, ((0, 0),)))
        .components[0]
        .sizes
    )
    assert [size.making.elements[-1].uses for size in sizes] == [
        (Use("station:cold", places),) for places in (1, 1, 2, 3, 4)
    ]


def test_somebody_who_is_needed_throughout_is_there_until_the_end() -> None:
    stirred = replace(CAKE, steps=(replace(CAKE.steps[0], minutes=Fraction(90)), *CAKE.steps[1:]))
    first = elements_of(stirred)[0]
    assert (first.least, first.uses[0]) == (90, Use(HANDS, 1))
    left_alone = replace(CAKE, steps=(replace(CAKE.steps[0], minutes=Fraction(90), attended="ends"), *CAKE.steps[1:]))
    by_hand, alone = elements_of(left_alone)[:2]
    assert (by_hand.least, by_hand.uses[0]) == (22, Use(HANDS, 1))
    assert (alone.least, alone.uses[0].resource) == (68, "mold:Ring, 25 cm")


def test_where_no_wait_is_stated_the_safe_default_counts() -> None:
    kitchen = read_whole_book(whole_kitchen()).kitchen
    profile = replace(kitchen.described, longest_wait_min=None)
    assert elements_of(CAKE, kitchen=replace(kitchen, profile=profile))[1].longest == SAFE_WARM_WAIT_MIN


def test_stations_alike_and_out_of_order_are_counted() -> None:
    begins, ends = datetime.fromisoformat("2026-11-24T08:00"), datetime.fromisoformat("2026-11-25T12:00")
    out = StationOut(begins, ends, 1, "service")
    ovens = replace(OVEN, count=2, out=(out,), tolerance_c=Fraction(15))
    kitchen = problem_of(book_of(CAKE, CREAM, stations=(ovens, COLD))).kitchen
    found = next(one for one in kitchen.resources if one.code == "station:oven")
    assert (found.places, found.count, found.divided, found.tolerance) == (2, 2, True, 15.0)
    assert found.out == (Level(DAY + 480, 2 * DAY + 720, 1),)


def test_molds_that_are_away_are_not_there() -> None:
    book = cakes()
    kitchen = kitchen_of(book, days_of(book, MONDAY, 14), 0, {"mold:Ring, 25 cm": (Level(0, 900, 3),)})
    assert next(one for one in kitchen.resources if one.code == "mold:Ring, 25 cm").out == (Level(0, 900, 3),)


def test_where_nobody_says_how_many_people_there_are_hands_are_not_counted() -> None:
    """What a kitchen does not state proves no no; somebody has to be there all the same."""
    hours = tuple(OpenHours(day, time(6), time(18)) for day in range(7))
    glazed = replace(CAKE, mold=None, steps=(*CAKE.steps[:2], replace(CAKE.steps[2], hands_each=Fraction(300))))
    wide = replace(COLD, places=None)
    leaves = 3 * DAY + 16 * 60
    stated = book_of(glazed, CREAM, stations=(wide,), molds=())
    unstated = replace(stated, hours=hours, days=None)
    found = []
    for book in (stated, unstated):
        order = problem_of(book, Table("A", {"cake": 24}, ((leaves, leaves),))).orders[0]
        problem = problem_of(book, Table("A", {"cake": 24}, ((leaves, leaves),)))
        check = PromiseCheck(replace(problem, orders=()), Plan())
        found.append(check.check(order, order.windows)[0].verdict)
    assert found == [IMPOSSIBLE, AS_PLANNED]
