"""Rows with problems are corrected on the list's page and join the others; what is missing is created."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.corrections import Correction, price_list_correct
from catalog.price_lists.imports import Imported, price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from catalog.price_lists.presenters import list_problems
from catalog.price_lists.services import price_list_compare, price_list_drop, price_list_upload
from catalog.records.errors import PriceListNotReady
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.conftest import AT, STARTS, Listed
from tests.refusals import refused

#: Forty rows as a supplier sends them, five of them bad.
FORTY = (
    "Quayside Foods\n\nItem #,Description,Pack Size,Case Price\n"
    + "".join(f"{1000 + at},Flour,{at} lb,${at}.50/cs\n" for at in range(1, 36))
    + '2001,"Cream, heavy",12/1 qt,$39.50/cs\n2002,Saffron threads,1 oz,48\n2003,Flour,sack,20\n'
    + "2004,Flour,44 lb,$0.62/lb\n2005,Cake box,100 ct,call\n"
)


def codes(found: PriceList) -> dict[int, str]:
    return {error["row"]: error["reason"]["code"] for error in found.errors}


def correct(found: PriceList, *corrections: Correction) -> PriceList:
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=corrections)
    found.refresh_from_db()
    return found


def test_forty_rows_with_five_bad_ones_end_as_forty_prices(listed: Listed, client: Client) -> None:
    found = listed(FORTY)
    assert list(codes(found).values()) == [
        "likely_item", "unknown_item", "measure", "price_by_weight", "not_a_number",
    ]  # fmt: skip
    owner = signed_in(client, "owner")
    address = reverse("price-list", args=[found.pk])
    done = owner.post(reverse("price-list-import", args=[found.pk]), {"step": found.step}, follow=True)
    assert "35 prices are imported." in done.content.decode()
    page = owner.get(address).content.decode()
    assert "2 names to confirm" in page
    assert "3 rows to correct" in page
    found.refresh_from_db()
    first = 39
    sent: dict[str, Any] = {"step": found.step, "row": [str(first + at) for at in range(5)]}
    rows = [
        ("Cream, heavy", "12/1 qt", "$39.50/cs"), ("Saffron threads", "1 oz", "48"), ("Flour", "80 lb", "20"),
        ("Flour", "44 lb", "27.28"), ("Cake box", "100 ct", "31"),
    ]  # fmt: skip
    for at, (item, pack, price) in enumerate(rows):
        sent |= {f"item-{first + at}": item, f"pack-{first + at}": pack, f"price-{first + at}": price}
    sent |= {f"same-{first}": "on", f"add-{first + 1}": "on"}
    page = owner.post(reverse("price-list-correct", args=[found.pk]), sent, follow=True).content.decode()
    assert "Saved. Every row can be imported." in page
    assert "new ingredient" in page
    assert "Import 5 prices" in page
    found.refresh_from_db()
    done = owner.post(reverse("price-list-import", args=[found.pk]), {"step": found.step}, follow=True)
    assert "5 prices are imported. 1 ingredient is added. Read its label next." in done.content.decode()
    assert Pack.objects.filter(starts=STARTS).count() == 40
    saffron = Ingredient.objects.get(name="Saffron threads")
    assert (saffron.allergens, saffron.allergen_answers, saffron.density) == ([], {}, None)
    assert not Ingredient.objects.filter(name="Cream, heavy").exists()


def test_a_new_ingredient_takes_the_figures_of_the_common_one_of_its_name(listed: Listed) -> None:
    found = listed("item,pack,price\nUnsalted Butter,36/1 lb,110\nLemons,140 ct,44\nVanilla sugar,2 gal,9\n")
    found = correct(
        found, *(Correction(line["row"], line["item"], line["pack"], line["price"], add=True) for line in found.lines)
    )
    assert codes(found) == {4: "new_no_density"}
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT) == Imported(2, 2)
    butter, lemon = Ingredient.objects.get(name="Unsalted Butter"), Ingredient.objects.get(name="Lemons")
    assert butter.allergens == ["milk"]
    assert butter.ndb
    assert lemon.grams_each
    assert lemon.parts.filter(code="juice").exists()


def test_a_pack_of_pieces_of_something_unknown_is_counted(listed: Listed) -> None:
    found = listed("item,pack,price\nGold boards,50 ct,19\nGold boards,100 ct,35\n")
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=(), add_unknown=True)
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT) == Imported(2, 1)
    boards = Ingredient.objects.get(name="Gold boards")
    assert (boards.base, boards.packs.count()) == ("each", 2)


def test_a_likely_duplicate_is_asked_about_and_not_created(listed: Listed) -> None:
    found = listed("item,pack,price\ncream heavy,1 qt,9\nSaffron,1 oz,48\nsaffrons,2 oz,90\n")
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=(), add_unknown=True)
    found.refresh_from_db()
    assert codes(found) == {2: "likely_item", 4: "likely_item"}, "the second saffron is like the first, which is new"
    found = correct(found, Correction(4, "saffrons", "2 oz", "90", same=True))
    assert codes(found) == {2: "likely_item"}
    found = correct(found, Correction(2, "cakes boxes", "5 each", "9", add=True))
    assert codes(found) == {2: "likely_item"}, "nobody was asked about this one yet"
    found = correct(found, Correction(2, "cakes boxes", "5 each", "9", add=True))
    assert codes(found) == {}
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert set(Ingredient.objects.values_list("name", flat=True)) == {
        "Flour", "Heavy cream", "Cake box", "Saffron", "cakes boxes",
    }  # fmt: skip


def test_the_same_ingredient_under_another_common_name_is_asked_about(listed: Listed) -> None:
    Ingredient.objects.create(code="whipping", name="Heavy whipping cream", position=9)
    Ingredient.objects.filter(code="cream").delete()
    found = listed("item,pack,price\nHeavy cream,1 qt,9\n")
    assert found.errors[0]["reason"]["code"] in ("likely_item",)


def test_what_the_supplier_calls_an_ingredient_is_remembered_once_it_is_imported(
    listed: Listed, client: Client
) -> None:
    text = "item,pack,price\nCRM HVY 36%,12/1 qt,39.50\n"
    found = listed(text)
    found = correct(found, Correction(2, "Heavy cream", "12/1 qt", "39.50"))
    assert codes(listed(text)) == {2: "likely_item"}, "nothing was imported yet"
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    again = listed("item,pack,price\ncrm hvy  36%,1 qt,4\n")
    assert [(row["name"], row["item"]) for row in again.rows] == [("Heavy cream", "crm hvy  36%")]
    page = signed_in(client, "owner").get(reverse("price-list", args=[again.pk])).content.decode()
    assert "in the list: crm hvy" in page
    price_list_undo(price_list_id=found.pk, by="odile", at=AT)
    assert codes(listed(text)) == {2: "likely_item"}, "what was undone is forgotten"


def test_a_name_of_the_kitchens_own_goes_before_the_suppliers(listed: Listed) -> None:
    found = correct(listed("item,pack,price\nTable cream,1 qt,9\n"), Correction(2, "Heavy cream", "1 qt", "9"))
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    Ingredient.objects.create(code="single", name="Table cream", density=Decimal("1.01"), position=9)
    assert listed("item,pack,price\nTable cream,1 gal,9\n").rows[0]["name"] == "Table cream"


def test_of_two_windows_one_corrects_and_the_other_keeps_what_was_entered(listed: Listed, client: Client) -> None:
    found = listed("item,pack,price\nSaffron,a box,48\n")
    sent = {"step": found.step, "row": "2", "item-2": "Saffron", "pack-2": "2 oz", "price-2": "91", "add-2": "on"}
    assert PriceList.objects.filter(pk=found.pk).update(step=found.step + 1)
    answer = signed_in(client, "owner").post(reverse("price-list-correct", args=[found.pk]), sent)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "changed since this page was opened" in page
    assert 'value="91"' in page
    assert PriceList.objects.get().lines[0]["price"] == "48"


def test_what_was_not_looked_at_is_not_imported(listed: Listed, client: Client) -> None:
    found = listed("item,pack,price\nFlour,50 lb,26\nSaffron,1 oz,48\n")
    correct(found, Correction(3, "Flour", "5 lb", "4"))
    owner = signed_in(client, "owner")
    for step in ({"step": "0"}, {}, {"step": "x"}):
        page = owner.post(reverse("price-list-import", args=[found.pk]), step, follow=True).content.decode()
        assert "changed since this page was opened" in page
    assert Pack.objects.count() == 1


def test_imported_rows_are_not_corrected_and_discarded_lists_not_at_all(listed: Listed) -> None:
    found = listed("item,pack,price\nFlour,50 lb,26\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    found.refresh_from_db()
    found = correct(found, Correction(2, "Flour", "50 lb", "99"))
    assert (found.lines[0]["price"], found.rows[0]["price"]) == ("26", "26")
    other = listed("item,pack,price\nSaffron,1 oz,26\n")
    price_list_drop(price_list_id=other.pk)
    with refused(PriceListNotReady, match="discarded"):
        price_list_correct(price_list_id=other.pk, seen=None, corrections=[])


def test_a_row_that_corrects_to_a_pack_already_imported_is_a_problem(listed: Listed) -> None:
    found = listed("item,pack,price\nFlour,50 lb,26\nFlour,sack,27\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    found.refresh_from_db()
    assert codes(correct(found, Correction(3, "Flour", "50 lb", "27"))) == {3: "twice"}


def test_hostile_corrections_are_data(listed: Listed, client: Client) -> None:
    found = listed("item,pack,price\nSaffron,1 oz,48\n")
    sent = {
        "step": found.step, "row": ["2", "x", "999999999999", "77", "2"], "item-2": "<script>\x00" + "a" * 5000,
        "pack-2": "9" * 300, "price-2": "٣", "add-2": "on",
    }  # fmt: skip
    page = signed_in(client, "owner").post(reverse("price-list-correct", args=[found.pk]), sent, follow=True)
    assert page.status_code == 200
    assert "<script>a" not in page.content.decode()
    line = PriceList.objects.get().lines[0]
    assert (len(line["item"]), len(line["pack"])) == (200, 200)


@pytest.mark.django_db
def test_many_unknown_rows_show_in_parts(listed: Listed, client: Client) -> None:
    found = listed("item,pack,price\n" + "".join(f"Thing {at},1 lb,2\n" for at in range(210)) + "Flour,sack,2\n" * 51)
    owner = signed_in(client, "owner")
    page = owner.get(reverse("price-list", args=[found.pk])).content.decode()
    assert page.count('name="row"') == 200 + 1
    assert "10 more names follow when these are saved." in page
    assert "1 row to correct" in page, "fifty say what the first says"
    assert "Add all 210 unknown items as new ingredients" in page
    found = listed("item,pack,price\n" + "".join(f"Flour,sack {at},2\n" for at in range(70)))
    page = owner.get(reverse("price-list", args=[found.pk])).content.decode()
    assert page.count('name="row"') == 50
    assert "20 more follow when these are corrected." in page


def test_the_prices_begin_on_the_lists_day(listed: Listed) -> None:
    found = listed("item,pack,price\nFlour,50 lb,26\n")
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert Pack.objects.get(price=Decimal("24.60")).ends == STARTS - timedelta(days=1)


def test_adding_all_unknown_items_saves_what_was_entered_first(listed: Listed, client: Client) -> None:
    found = listed("item,pack,price\nGold boards,50 ct,x\nVanilla pods,nothing,9\n")
    owner = signed_in(client, "owner")
    sent: dict[str, Any] = {"step": found.step, "row": ["2", "3"], "do": "add-unknown"}
    for row, cells in ((2, ("Gold boards", "50 ct", "19")), (3, ("Vanilla pods", "4 oz", "9"))):
        sent |= {f"{key}-{row}": text for key, text in zip(("item", "pack", "price"), cells, strict=True)}
    page = owner.post(reverse("price-list-correct", args=[found.pk]), sent, follow=True).content.decode()
    assert "Saved. Every row can be imported." in page
    found.refresh_from_db()
    assert [(row["name"], row["price"]) for row in found.rows] == [("Gold boards", "19"), ("Vanilla pods", "9")]


def test_the_first_day_is_changed_on_the_page_and_what_was_corrected_stays(listed: Listed, client: Client) -> None:
    Pack.objects.update(starts=STARTS)
    found = listed("item,pack,price\nFlour,50 lb,29\nCRM HVY 36%,12/1 qt,39.50\n")
    found = correct(found, Correction(3, "Heavy cream", "12/1 qt", "39.50"))
    assert codes(found) == {2: "same_day"}
    owner, address = signed_in(client, "owner"), reverse("price-list-starts", args=[found.pk])
    page = owner.get(reverse("price-list", args=[found.pk])).content.decode()
    assert '<details class="fold" open>' in page
    wrong = owner.post(address, {"step": found.step, "starts": "soon"})
    assert wrong.status_code == 422
    day = STARTS + timedelta(days=1)
    owner.post(address, {"step": found.step, "starts": day.isoformat()})
    found.refresh_from_db()
    assert (found.starts, found.errors) == (day, [])
    assert [row["name"] for row in found.rows] == ["Flour", "Heavy cream"]


def test_a_name_corrected_beside_an_unchanged_price_is_remembered(listed: Listed) -> None:
    found = listed("item,pack,price\nFLR AP,50 lb,24.60\nHeavy cream,1 qt,5\n")
    found = correct(found, Correction(2, "Flour", "50 lb", "24.60"))
    price_list_import(price_list_id=found.pk, by="odile", at=AT)
    assert codes(listed("item,pack,price\nFLR AP,50 lb,26\n")) == {}


def test_ounces_of_what_is_poured_are_asked_about(listed: Listed) -> None:
    found = listed("item,pack,price\nHeavy cream,32 oz,9\nFlour,32 oz,3\n")
    assert codes(found) == {2: "ounces"}
    found = correct(found, Correction(2, "Heavy cream", "32 oz wt", "9"))
    assert codes(found) == {}
    assert codes(listed("item,pack,price\nHeavy cream,32 fl oz,9\n")) == {}


def test_a_list_in_which_no_price_changes_remembers_the_names_at_once(listed: Listed) -> None:
    first = listed("item,pack,price\nFlour,5 lb,9\n")
    price_list_import(price_list_id=first.pk, by="odile", at=AT)
    found = listed("item,pack,price\nFLR 500,5 lb,9\n")
    assert list(codes(found)) == [2]
    found = correct(found, Correction(2, "Flour", "5 lb", "9"))
    assert (codes(found), [row["change"] for row in found.rows]) == ({}, ["same"])
    assert codes(listed("item,pack,price\nFLR 500,5 lb,9\n")) == {}


def test_a_list_of_heads_alone_is_named_as_one(listed: Listed) -> None:
    found = listed("item,pack,price\n,,\n")
    assert found.status == "unreadable"
    assert list_problems(found)[0].message.startswith("The list has heads and no rows below them.")


def test_a_list_that_could_not_be_read_is_discarded_with_the_supplier_that_it_alone_named(
    listed: Listed, client: Client
) -> None:
    mine = listed("nothing that is a table")
    made = price_list_upload(
        supplier="Slip of the pen", file_name="p.csv", body=b"no table", starts=STARTS, by="odile", at=AT
    )
    price_list_compare(price_list_id=made.pk)
    owner = signed_in(client, "owner")
    for one in (mine, made):
        assert "Discard price list" in owner.get(reverse("price-list", args=[one.pk])).content.decode()
        assert owner.post(reverse("price-list-drop", args=[one.pk])).status_code == 302
    assert list(Supplier.objects.values_list("name", flat=True)) == ["Quayside"]
    assert PriceList.objects.get().status == "dropped", "what has prices keeps its lists"


def test_a_bare_number_is_a_count_of_what_is_only_counted(listed: Listed) -> None:
    found = listed("Item,Pack,Price\nCake box,50,20\nFlour,50,24\nFlour,4/cs,24\nCake box,1000/cs,90\n")
    assert [(row["name"], row["size"]) for row in found.rows] == [("Cake box", "50 each"), ("Cake box", "1000 each")]
    assert [error["row"] for error in found.errors] == [3, 4]
