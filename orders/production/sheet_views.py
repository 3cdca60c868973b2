"""The kitchen's sheets for some days: what to buy, make, bake, chill and hand over."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.cooling.cycles import rule_of
from catalog.cooling.selectors import cold_times
from catalog.kitchen.duties import again_with_delivery
from catalog.kitchen.selectors import kitchen, local_day
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.period_form import PeriodForm
from catalog.web.roles import has_role
from costing.contract import Product
from orders.cooling_log.likely import likely_inside, likely_of_orders
from orders.cooling_log.presenters import batch_marks, marks_shown, met_words
from orders.cooling_log.selectors import Marks, cooling_marks, open_together
from orders.cooling_log.step_presenters import step_marks
from orders.cooling_log.steps_open import open_steps
from orders.orders.old_sheets import sheets_opened
from orders.orders.selectors import orders_unsettled
from orders.production.batch_presenters import batches_shown, cold_parts, vessels_words
from orders.production.batches import BatchRow, batch_rows, room_safe_made
from orders.production.cold_room import cold_rows, probed_to, product_coolings, slowest_untimed
from orders.production.demand import Demand, demand, demand_of, order_whole, orders_between
from orders.production.hand_over import hand_overs
from orders.production.label_marks import batches_in
from orders.production.label_presenters import extras_shown, first_labels, guests_shown, label_shown
from orders.production.labels import label_file
from orders.production.limit_presenters import made_limits, waits_words
from orders.production.made_labels import guest_needs, made_labels
from orders.production.never_hot import never_hot_rows
from orders.production.presenters import inside_words, made_rows, recipe_sheets, supplier_tables, task_rows
from orders.production.scaled_recipes import scaled_recipes
from orders.production.shopping import shopping
from orders.production.step_presenters import steps_shown
from orders.production.tasks import components_in_cold, in_oven, products_made, tasks, to_prepare
from orders.production.thrown_presenters import thrown_words
from orders.production.vessels import vessels_at_once
from orders.production.when_presenters import when_of
from orders.quotes.cooling.never_hot import steps_open
from orders.quotes.cooling.untimed import cools_slowly

#: The default period: a week from today.
SPAN = timedelta(days=6)
LONGEST = timedelta(days=92)


def _period(request: HttpRequest) -> tuple[PeriodForm, date, date, date]:
    """Return the days of the query; the coming week if they are missing or invalid."""
    today = local_day(timezone.now())
    given = {name: request.GET[name] for name in ("first", "last") if name in request.GET}
    form = PeriodForm({"first": today.isoformat(), "last": (today + SPAN).isoformat()} | given, kitchen=kitchen())
    del form.fields["find"]
    form.is_valid()
    first, last = form.period()
    first = first or today
    last = min(last or first + SPAN, first + LONGEST)
    return form, first, max(first, last), today


def _cut_to(form: PeriodForm, last: date) -> int:
    """Return how many days a sheet covers at most where more were asked for, else 0."""
    asked = form.period()[1]
    return LONGEST.days + 1 if asked is not None and asked > last else 0


def _sheet(
    request: HttpRequest, template: str, details: Callable[[Demand], dict[str, Any]], *, priced: bool = False
) -> HttpResponse:
    form, first, last, today = _period(request)
    found = demand(first=first, last=last, today=today, priced=priced)
    context = {"form": form, "first": first, "last": last, "found": found, "today": today, **details(found)}
    context["printed_at"] = timezone.now()
    if request.method == "GET":
        sheets_opened(found.orders, by=request.user.get_username(), at=context["printed_at"])
    context["unsettled"] = orders_unsettled(found.orders)
    context["cut_to"] = _cut_to(form, last)
    return render(request, template, context)


@require_safe
@allow(OWNER, KITCHEN)
def sheets(request: HttpRequest) -> HttpResponse:
    """Choose days and a sheet."""
    form, first, last, _ = _period(request)
    orders = orders_between(first, last)
    return render(
        request, "orders/production/sheets/sheets.html", {"form": form, "first": first, "last": last, "orders": orders}
    )


@require_safe
@allow(OWNER, KITCHEN)
def sheet_shopping(request: HttpRequest) -> HttpResponse:
    """The shopping list, by supplier; prices for the owner only."""
    prices = has_role(request, OWNER)

    def details(found: Demand) -> dict[str, Any]:
        lists = shopping(found)
        return {"lists": supplier_tables(lists), "prices": prices, "cost": sum(item.cost for item in lists)}

    return _sheet(request, "orders/production/sheets/shopping.html", details, priced=True)


@require_safe
@allow(OWNER, KITCHEN)
def sheet_recipes(request: HttpRequest) -> HttpResponse:
    """Every recipe scaled to the orders, components first."""

    def details(found: Demand) -> dict[str, Any]:
        sheets, labels = recipe_sheets(scaled_recipes(found), cup=found.book.kitchen.cup), made_labels(found)
        rows = batch_rows(found, at=timezone.now())
        together = open_together(cooling_marks(found.orders, found.whole_book)) if rows else frozenset()
        labeled = [
            (
                sheet,
                label_shown(labels.recipes.get(sheet.recipe.code), sheet.recipe.name),
                steps_shown(found.book.recipe(sheet.recipe.code), rows, together),
            )
            for sheet in sheets
        ]
        return {
            "recipes": labeled,
            "guests": guests_shown(labels.guests),
            "extras": extras_shown(labels.extras),
        }

    return _sheet(request, "orders/production/sheets/recipes.html", details)


def _made_hot(found: Demand, rows: list[BatchRow], marks: Marks, *, slow: bool = False) -> dict[str, Any]:
    """Return what the sheets show of batches that are made hot, the vessels they take, and what is marked.

    ``slow`` says that a product, too, takes long to get cold under a rule without times.
    """
    together = open_together(marks)
    vessels = vessels_words(vessels_at_once(rows, found.book))
    every = [mark for of_order in marks.values() for mark in of_order.values()]
    batches_marked = [mark for mark in every if mark.is_batch]
    measured = {(mark.item.pk, mark.order_id): met_words(mark) for mark in batches_marked if mark.settled}
    gone = frozenset((mark.item.pk, mark.order_id) for mark in batches_marked if mark.all_gone)
    steps = open_steps(found.orders, found.book)
    open_ = {claim.code for each in steps.values() for claim, _ in each if claim.kind == "recipe"}
    shown: dict[str, Any] = {"batches": batches_shown(rows, together, measured, gone, open_)}
    shown["steps_open"] = _steps_open(found)
    shown["batch_marks"] = [*batch_marks(found.orders, marks), *step_marks(found.orders, steps)]
    timed = any(cooling.limits for batch in shown["batches"] for cooling in batch.cools)
    slow = slow or any(cools_slowly(times.trial) for row in rows for times, _ in row.times)
    untimed = rule_of(found.book.kitchen.described).guidance if slow else None
    return {**shown, "vessels": vessels, "timed": timed, "room_safe": room_safe_made(found), "untimed": untimed}


def _steps_open(found: Demand) -> set[int]:
    """Return the keys of the products that hold a step nobody has said is cold: their verdict is no good news."""
    codes = steps_open({code: [code] for code in found.units}, found.book)
    return {one.product_id for one in cold_times(list(codes), found.book).values()}


@require_safe
@allow(OWNER, KITCHEN)
def sheet_prep(request: HttpRequest) -> HttpResponse:
    """The prep list: work of hands, to tick off."""

    def details(found: Demand) -> dict[str, Any]:
        work, marks = to_prepare(tasks(found)), cooling_marks(found.orders, found.whole_book)
        labels, made = made_labels(found), made_rows(products_made(found), found.orders, marks)
        cold = cold_times(found.units, found.book)
        slow = slowest_untimed(cold)
        limits = made_limits(product_coolings(found, at=timezone.now()), found.orders)
        waits = waits_words(found)
        likely = likely_inside(likely_of_orders(found.orders, marks, found.book, others=found.whole))
        batches = batches_in(found.orders, marks, found.whole_book)
        inside, thrown = inside_words(found.orders, batches), thrown_words(found.orders, marks, batches)
        when = when_of(found, at=timezone.now())
        return {
            "planned": when.known,
            "tasks": [
                (
                    *row,
                    when.words(row[0]),
                    label,
                    never,
                    thrown.get(row[0].of.code, ()) if isinstance(row[0].of, Product) else (),
                )
                for row, label, never in zip(
                    task_rows(work), first_labels(work, labels), never_hot_rows(work, found), strict=True
                )
            ],
            "minutes": sum(task.minutes for task in work),
            "made": [
                (
                    row,
                    shown,
                    label_shown(labels.products.get(row.code), row.name),
                    slow.get(row.code),
                    limits.get(row.code, ()),
                    cold.get(row.code),
                    (*inside.get(row.code, ()), *waits.get(row.code, ())),
                    likely.get(row.code, ()),
                )
                for row, shown in made
            ],
            "guests": guests_shown(labels.guests),
            "extras": extras_shown(labels.extras),
            **_made_hot(found, batch_rows(found, at=timezone.now()), marks, slow=bool(slow)),
        }

    return _sheet(request, "orders/production/sheets/prep.html", details)


@require_safe
@allow(OWNER, KITCHEN)
def sheet_oven(request: HttpRequest) -> HttpResponse:
    """The oven list, load by load."""

    def details(found: Demand) -> dict[str, Any]:
        when = when_of(found, at=timezone.now())
        rows = task_rows(in_oven(tasks(found)))
        return {"tasks": [(*row, when.words(row[0])) for row in rows], "planned": when.known}

    return _sheet(request, "orders/production/sheets/oven.html", details)


@require_safe
@allow(OWNER, KITCHEN)
def sheet_cold(request: HttpRequest) -> HttpResponse:
    """The list for the cold room."""

    def details(found: Demand) -> dict[str, Any]:
        work, marks = tasks(found), cooling_marks(found.orders, found.whole_book)
        rows, batches = cold_rows(found, work, marks, at=timezone.now()), batch_rows(found, at=timezone.now())
        when, parts = when_of(found, at=timezone.now()), cold_parts(task_rows(components_in_cold(work)), batches)
        return {
            "rows": rows,
            "parts": [(part, when.words(part.task)) for part in parts],
            "checked": probed_to(rows),
            "guests": guests_shown(tuple(map(guest_needs, found.orders))),
            **_made_hot(found, batches, marks, slow=any(row.untimed for row in rows)),
        }

    return _sheet(request, "orders/production/sheets/cold.html", details)


@require_safe
@allow(OWNER, KITCHEN)
def order_batches(request: HttpRequest, pk: int) -> HttpResponse:
    """How the batches of one order cool, each with its page at the order's size."""
    order = get_object_or_404(order_whole(pk))
    day = local_day(order.window_start)
    context: dict[str, Any] = {"order": order}
    try:
        found = demand_of([order], first=day, last=day, today=local_day(timezone.now()), priced=False)
        marks = cooling_marks([order], found.whole_book)
        context |= _made_hot(found, batch_rows(found, at=timezone.now()), marks)
        steps = step_marks([order], open_steps([order], found.book))
        context["marks"] = [*marks_shown([order], marks).get(order.pk, []), *steps]
    except CannotPrice as error:
        context["stop"] = sentence(error)
    return render(request, "orders/production/order_batches.html", context)


@require_safe
@allow(OWNER, KITCHEN)
def sheet_handover(request: HttpRequest) -> HttpResponse:
    """The hand-over list: where, when, with whom, and how the food must be held."""
    form, first, last, _ = _period(request)
    home = kitchen()
    context = {
        "form": form,
        "first": first,
        "last": last,
        "cut_to": _cut_to(form, last),
        "printed_at": timezone.now(),
        "rows": hand_overs(orders_between(first, last)),
        "again_in_writing": again_with_delivery(home.food_safety, home.country),
    }
    return render(request, "orders/production/sheets/handover.html", context)


@require_safe
@allow(OWNER, KITCHEN)
def sheet_labels(request: HttpRequest) -> HttpResponse:
    """Give the data for labels of the desserts as a CSV file."""
    _, first, last, _ = _period(request)
    headers = {"Content-Disposition": f'attachment; filename="labels-{first}-{last}.csv"'}
    return HttpResponse(
        label_file(orders_between(first, last)), content_type="text/csv; charset=utf-8", headers=headers
    )
