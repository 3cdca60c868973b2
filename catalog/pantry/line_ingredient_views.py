"""The part of an editor's page where an ingredient is added that a line is missing; see its form."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext

from catalog.kitchen.selectors import kitchen
from catalog.pantry.line_ingredient_forms import PREFIX, LineIngredientForm
from catalog.pantry.models import Ingredient

_FIELDS = ("row", "instead", "name", "size", "price", "cup_grams", "grams_each", "another")
_OPEN = "new-open-"


@dataclass(frozen=True, slots=True)
class LinePlace:
    """The rows an ingredient can be missing in: their prefix, the field that names it, whether it is only counted."""

    rows: str
    field: str
    counted: bool = False

    def key(self, row: str | int, field: str = "") -> str:
        """Return the name of a row's input."""
        return f"{self.rows}-{row}-{field or self.field}"

    def total(self, data: QueryDict) -> int:
        """Return the number of rows submitted."""
        return _number(data.get(f"{self.rows}-TOTAL_FORMS", "")) or 0


def line_ingredient(
    request: HttpRequest,
    data: QueryDict | None,
    do: str,
    *,
    place: LinePlace,
    written: Callable[[Ingredient, str], str],
) -> tuple[QueryDict | None, LineIngredientForm | None]:
    """Return the editor's data and the form of the missing ingredient while it is open.

    ``do`` is the button: ``new-open-3`` opens it for the fourth row with the name that stands there, ``new-add`` adds
    the ingredient and puts what ``written`` makes of it and of the words before into the row, ``new-close`` closes it.
    Any other button leaves it as it is.
    """
    if data is None or do == "new-close":
        return data, None
    data = data.copy()
    if do.startswith(_OPEN):
        _opened(data, do.removeprefix(_OPEN), place)
    row = _number(data.get(f"{PREFIX}-row", ""))
    if row is None:
        return data, None
    amount = data.get(place.key(row, "amount"), "")
    form = LineIngredientForm(data, kitchen=kitchen(), counted=place.counted, amount=amount)
    if do == "new-add" and form.is_valid():
        added, before = form.save(), form.cleaned_data["instead"]
        at = _row_of(data, place, before, row)
        if at is not None:
            data[place.key(at)] = written(added, before)
        messages.success(request, gettext("%(name)s is added. Its label is not checked yet.") % {"name": added.name})
        return data, None
    if do != "new-add":
        form.errors.clear()
        form.near = ()
    if do.startswith(_OPEN):
        form.fields["size" if form["name"].value() else "name"].widget.attrs["autofocus"] = True
    return data, form


def _opened(data: QueryDict, number: str, place: LinePlace) -> None:
    """Fill the form's fields with the name that stands in a row."""
    for field in _FIELDS:
        data.pop(f"{PREFIX}-{field}", None)
    row = _number(number)
    if row is None:
        return
    before = "" if place.counted else " ".join(data.get(place.key(row), "").split())[:800]
    data[f"{PREFIX}-row"], data[f"{PREFIX}-instead"] = str(row), before
    # A part is written after the whole: Lemons: juice.
    data[f"{PREFIX}-name"] = before.partition(":")[0].strip()[:120]


def _row_of(data: QueryDict, place: LinePlace, before: str, row: int) -> int | None:
    """Return the row that still has the words before: rows may have been moved meanwhile."""
    rows: Sequence[int] = range(place.total(data))
    found = [at for at in rows if " ".join(data.get(place.key(at), "").split()) == before]
    return row if row in found else next(iter(found), None)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None
