"""How far the reading of a spreadsheet is, and which columns were chosen last."""

from collections.abc import Mapping
from typing import Final

from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient, Part
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.spreadsheets.models import Spreadsheet


def work_about(spreadsheet: int) -> str:
    """Return what the outbox says the work on a spreadsheet is about."""
    return f"spreadsheet:{spreadsheet}"


def reading_given_up(spreadsheet: Spreadsheet) -> Outbox | None:
    """Return the work on a spreadsheet that waits to be read, if it was given up until somebody tries again."""
    if spreadsheet.status != Spreadsheet.Status.WAITING:
        return None
    work = Outbox.objects.filter(kind="spreadsheet", about=work_about(spreadsheet.pk)).order_by("-pk").first()
    return work if work is not None and work.status == Outbox.Status.FAILED else None


def heads_remembered(holds: str) -> Mapping[str, str]:
    """Return the heads of the columns that were last chosen by hand for such a spreadsheet; empty without heads."""
    chosen = Spreadsheet.objects.filter(holds=holds, choice__by_hand=True).order_by("-pk")
    choice = chosen.values_list("choice", flat=True).first() or {}
    heads: Mapping[str, str] = choice.get("heads", {})
    return heads if heads and all(heads.values()) else {}


#: Earlier files whose answers are remembered.
_REMEMBERED: Final = 50


def names_remembered(spreadsheet: Spreadsheet) -> dict[str, str]:
    """Return what names were said to mean in earlier files with recipes that were imported, by question; one query.

    A file's own answers go before them. Other kinds of record remember nothing.
    """
    if spreadsheet.holds != Spreadsheet.Holds.RECIPES:
        return {}
    earlier = Spreadsheet.objects.filter(holds=spreadsheet.holds, status=Spreadsheet.Status.APPLIED)
    latest = earlier.exclude(pk=spreadsheet.pk).order_by("-pk").values_list("answers", flat=True)[:_REMEMBERED]
    found: dict[str, str] = {}
    for answers in reversed(latest):
        found |= {
            key: name for key, name in sorted(answers.items()) if key.startswith("name:") and name.startswith("is:")
        }
    return found


def names_offered(spreadsheet: Spreadsheet) -> list[str]:
    """Return the names that a row can mean: ingredients, and for recipes their parts and recipes, of the file too.

    Of products these are their categories.
    """
    if spreadsheet.holds == Spreadsheet.Holds.PRODUCTS:
        return list(Product.objects.order_by("category").values_list("category", flat=True).distinct())
    names = list(Ingredient.objects.filter(active=True).values_list("name", flat=True))
    if spreadsheet.holds == Spreadsheet.Holds.RECIPES:
        parts = Part.objects.filter(ingredient__active=True).values_list("ingredient__name", "code")
        names += [f"{name}: {code}" for name, code in parts]
        names += Recipe.objects.filter(active=True).values_list("name", flat=True)
        names += [item["name"] for item in spreadsheet.plan.get("items", ())]
    return list(dict.fromkeys(names))


def rows_to_correct(spreadsheet: Spreadsheet) -> set[int]:
    """Return the rows with a problem or an open question."""
    plan = spreadsheet.plan
    asked = {row for question in plan.get("questions", ()) for row in question["rows"]}
    return asked | {problem["row"] for problem in plan.get("problems", ())}
