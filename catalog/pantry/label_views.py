"""The page of labels to read: every ingredient whose label nobody has read to the end, answered by ticking."""

from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods

from catalog.kitchen.selectors import kitchen
from catalog.pantry.allergens import asked_of, covered
from catalog.pantry.declarations import MAY
from catalog.pantry.free_by import BOUGHT, RENAMED, was_free
from catalog.pantry.kind_words import foods_named, maybe_made_with
from catalog.pantry.label_services import LabelRead, contained_codes, labels_read, list_open, named_open, open_allergens
from catalog.pantry.models import Ingredient
from catalog.pantry.presenters import allergen_words, unchecked_words
from catalog.pantry.services import ingredient_version
from catalog.pantry.single_foods import plainly_packing
from catalog.web.access import OWNER, allow
from catalog.web.display import joined

#: Most ingredients on one page: what was answered makes room for the next.
MOST: Final = 150


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def labels_page(request: HttpRequest) -> HttpResponse:
    """List ingredients with open answers; what is ticked is answered."""
    which = kitchen().allergen_list
    nothing = False
    if request.method == "POST":
        reads = _reads(request)
        if reads:
            done, left = labels_read(reads=reads, which=which, by=request.user.get_username())
            _say(request, done, left)
            return redirect("ingredient-labels")
        nothing = True
    rows = Ingredient.objects.filter(active=True).prefetch_related("parts").order_by("name", "pk")
    still_open = [row for row in rows if open_allergens(row, which)]
    context: dict[str, Any] = {
        "rows": [_row(row) for row in still_open[:MOST]],
        "more": max(len(still_open) - MOST, 0),
        "nothing": nothing,
        "asked": allergen_words(asked_of(which)),
    }
    return render(request, "catalog/pantry/labels.html", context, status=422 if nothing else 200)


def _reads(request: HttpRequest) -> list[LabelRead]:
    """Return what was ticked, each with the version its row showed; what is not a row's number is left out."""
    found = []
    for name, off_food in (("free", False), ("off", True)):
        for text in request.POST.getlist(name):
            pk, _, version = text.partition(".")
            if pk.isascii() and pk.isdigit() and len(pk) < 12:
                found.append(LabelRead(int(pk), version, off_food))
    return found


def _row(row: Ingredient) -> dict[str, Any]:
    which = kitchen().allergen_list
    may = sorted(code for code, answer in row.allergen_answers.items() if answer == MAY)
    return {
        "pk": row.pk,
        "name": row.name,
        "mark": f"{row.pk}.{ingredient_version(row)}",
        "contains": allergen_words(contained_codes(row)),
        "may": allergen_words(may),
        "was_free": unchecked_words([code for code in was_free(row.named_only) if code in asked_of(which)]),
        "bought": BOUGHT in row.named_only,
        "renamed": row.named_only.get(RENAMED, ""),
        **_named(row, which),
        "list_open": list_open(row),
        "packing": row.base == Ingredient.Base.EACH and plainly_packing(row.name),
    }


def _named(row: Ingredient, which: str) -> dict[str, str]:
    """Write the allergens that a name says, and those that it may be made with."""
    open_, maybe = named_open(row, which), maybe_made_with(row.name)
    found = [code for code in foods_named(row.name) if covered(code) & open_]
    return {
        "named": allergen_words([code for code in found if code not in maybe]),
        "maybe": allergen_words([code for code in found if code in maybe]),
    }


def _say(request: HttpRequest, done: list[str], left: list[str]) -> None:
    if done:
        words = ngettext("%(count)d label is answered.", "%(count)d labels are answered.", len(done))
        messages.success(request, words % {"count": len(done)})
    if left:
        sentence = gettext(
            "Not answered, because they changed meanwhile, are in a recipe, or need their list of ingredients:"
            " %(names)s. Look at them again."
        )
        messages.warning(request, sentence % {"names": joined(left)})
