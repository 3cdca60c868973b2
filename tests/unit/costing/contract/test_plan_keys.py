"""What a plan reads of a Book: read, checked and written, and what holds where nothing is stated."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from fractions import Fraction
from typing import Any

from costing.contract import read_book, read_whole_book, whole_book_errors, write_book, write_whole_book
from costing.contract.book import StationOut, Step, Vehicle
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN, SAFE_TOLERANCE_C, SAFE_WARM_WAIT_MIN
from costing.contract.steps import KINDS
from tests.each import each
from tests.integration.catalog.book.forms import example, whole_kitchen

Change = Callable[[dict[str, Any]], Any]
TART = 1


def _free(number: Any) -> Change:
    def change(book: dict[str, Any]) -> None:
        tart = book["products"][TART]
        for key in ("mold_leaves", "mold_back_days"):
            del tart[key]
        tart["mold_free_after"] = number

    return change


def test_what_is_stated_is_read() -> None:
    book = read_whole_book(whole_kitchen())
    oven, cold = book.station("oven"), book.station("cold-room")
    assert (oven.count, oven.places, oven.tolerance_c) == (3, 8, Fraction("12.5"))
    moment = datetime.fromisoformat
    assert oven.out == (
        StationOut(moment("2027-02-01T08:00"), moment("2027-02-03T18:30"), 2, "service"),
        StationOut(moment("2027-03-01T00:00"), moment("2027-03-01T12:00")),
    )
    assert (cold.count, cold.tolerance_c, cold.out) == (1, None, ())
    tart = book.products[TART]
    assert [tart.places_at(kind) for kind in ("oven", "refrigerator", "rack")] == [2, 4, 1]
    assert (tart.mold_leaves, tart.mold_back_days, tart.mold_free_after) == (True, 3, None)
    assert (book.recipes[1].kg_per_place, book.recipes[0].kg_per_place) == (Fraction("4.5"), None)
    assert book.vehicles == (Vehicle("Van", True), Vehicle("Trailer", True))
    assert book.kitchen.described.longest_wait_min == 45


def test_the_step_that_sets_the_mold_free_comes_back_as_it_went_in() -> None:
    document = whole_kitchen()
    _free(3)(document)
    book = read_whole_book(document)
    assert book.products[TART].mold_free_after == 3
    assert write_whole_book(book)["products"][TART]["mold_free_after"] == 3
    assert read_whole_book(write_whole_book(book)) == book


def test_a_book_without_them_reads_and_is_written_as_before() -> None:
    plain = example("small")
    book = read_whole_book(plain)
    assert {(station.count, station.tolerance_c, station.out) for station in book.stations} == {(1, None, ())}
    assert {(one.load_places, one.mold_free_after, one.mold_leaves) for one in book.products} == {((), None, False)}
    assert (book.vehicles, book.kitchen.described.longest_wait_min) == ((), None)
    written = str(write_whole_book(book))
    words = ("count", "tolerance_c", "'out'", "load_places", "mold_", "kg_per_place", "attended", "vehicles")
    assert not [word for word in words if word in written]


def test_the_contracts_part_of_a_book_does_not_move() -> None:
    whole = whole_kitchen()
    assert write_book(read_book(whole)) == write_book(read_whole_book(whole))
    assert read_book(whole).station("oven").count == 1


def test_who_is_there_during_a_step_follows_from_its_kind_unless_it_is_stated() -> None:
    alone = {kind for kind in KINDS if not Step(kind).needs_somebody_throughout}
    assert alone == {"bake", "rest", "chill", "freeze"}
    assert Step("bake", attended="throughout").needs_somebody_throughout
    assert not Step("mix", attended="ends").needs_somebody_throughout


def test_the_safe_defaults_are_ten_degrees_an_hour_and_a_day() -> None:
    assert (SAFE_TOLERANCE_C, SAFE_WARM_WAIT_MIN, SAFE_COLD_WAIT_MIN) == (10, 60, 72 * 60)


@each(
    ("change", "place", "words"),
    [
        (lambda b: b["stations"]["oven"].update(count=1001), "stations/oven/count", "from 1 to 1000"),
        (lambda b: b["stations"]["oven"].update(count=1), "stations/oven/out/0/count", "2 of “oven” are out of order"),
        (lambda b: b["stations"]["oven"].update(tolerance_c="-1"), "stations/oven/tolerance_c", "from 0 to 200 °C"),
        (
            lambda b: b["stations"]["oven"]["out"][1].update(until="2027-03-01T00:00"),
            "stations/oven/out/1/until",
            "later than its beginning",
        ),
        (
            lambda b: b["stations"]["oven"]["out"][0].update({"from": "2027-02-01"}),
            "stations/oven/out/0/from",
            "2027-02-06T08:00",
        ),
        (
            lambda b: b["stations"]["oven"]["out"][0].update({"from": "2027-02-01T08:00Z"}),
            "stations/oven/out/0/from",
            "without a time zone",
        ),
        (lambda b: b["products"][TART]["load_places"].update(oven=0), "products/1/load_places/oven", "from 1 to 10000"),
        (lambda b: b["products"][TART].update(mold_back_days=366), "products/1/mold_back_days", "from 0 to 365 days"),
        (lambda b: b["products"][TART].update(mold_free_after=2), "products/1/mold_free_after", "free after no step"),
        (lambda b: b["products"][TART].pop("mold_leaves"), "products/1/mold_back_days", "Only a mold that leaves"),
        (_free(0), "products/1/mold_free_after", "There is no step 0: it has 4."),
        (_free(5), "products/1/mold_free_after", "There is no step 5: it has 4."),
        (lambda b: b["products"][0].update(mold_free_after=1), "products/0/mold_free_after", "names no mold"),
        (lambda b: b["recipes"][1].update(kg_per_place="0"), "recipes/1/kg_per_place", "above 0"),
        (lambda b: b["vehicles"][1].update(name="Van"), "vehicles/1/name", "stands twice in vehicles"),
        (lambda b: b["vehicles"][1].update(cold=False), "kitchen/profile/vehicle_cold", "every one of the vehicles"),
        (
            lambda b: b["kitchen"]["profile"].update(longest_wait_min=10081),
            "kitchen/profile/longest_wait_min",
            "10080",
        ),
        (
            lambda b: b["kitchen"]["profile"]["cancellation_table"].reverse(),
            "kitchen/profile/cancellation_table/1/days",
            "begin with the most days",
        ),
        (
            lambda b: b["kitchen"]["profile"]["cancellation_table"][1].update(share="0.1"),
            "kitchen/profile/cancellation_table/1/share",
            "never falls",
        ),
        (
            lambda b: b["kitchen"]["profile"]["cancellation_table"][1].update(share="1.1"),
            "kitchen/profile/cancellation_table/1/share",
            "1",
        ),
        (lambda b: b["kitchen"]["profile"].update(cancellation_tax="x"), "kitchen/profile/cancellation_tax", "“x”"),
        (lambda b: b["recipes"][0]["steps"][0].update(attended="never"), "recipes/0/steps/0/attended", "throughout"),
        (lambda b: b["products"][TART]["load_places"].update(cellar=1), "products/1/load_places/cellar", "cellar"),
    ],
)
def test_each_is_refused_at_its_place_in_words(change: Change, place: str, words: str) -> None:
    document = whole_kitchen()
    assert whole_book_errors(document) == []
    change(document)
    found = whole_book_errors(document)
    assert [error.at for error in found] == [f"book#/{place}"]
    assert words in found[0].message
