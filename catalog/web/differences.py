"""A form that was overtaken: what somebody saved meanwhile against what was entered, field by field.

Three versions meet: the one the form was opened with (of which only marks are left), the saved one and the entered one.
A field that was not touched takes the saved value; the others keep what was typed.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest

from django.forms.formsets import INITIAL_FORM_COUNT, TOTAL_FORM_COUNT, BaseFormSet
from django.http import QueryDict
from django.utils.translation import gettext_lazy

from catalog.web.shown_values import NOTHING, AnyForm, Row, row_of, rows_of, words_of

#: The marks of a form's fields, by row; None when they did not arrive.
Marks = Sequence[Sequence[str]] | None


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that says something else than what is saved; ``taken`` when the form now shows the saved value."""

    label: str
    saved: str
    entered: str
    taken: bool = False


def marks_of(parts: Sequence[AnyForm]) -> str:
    """Return the marks of all values that the forms show: parts behind dots, rows between slashes."""
    return "".join("." + "/".join("".join(shown.mark for shown in row) for row in rows_of(part)) for part in parts)


def marks_read(text: str, parts: int) -> list[Marks]:
    """Read what :func:`marks_of` wrote; None for every part when it is about other forms."""
    written = text.split(".")
    if not text or len(written) != parts:
        return [None] * parts
    rows = [part.split("/") if part else [] for part in written]
    return [[re.findall(r"[\w-]{4}", row, re.ASCII) for row in part] for part in rows]


def merge(
    data: QueryDict, *, saved: Sequence[AnyForm], entered: Sequence[AnyForm], opened: Sequence[Marks]
) -> list[Difference]:
    """Write saved values over what was not touched in ``data``; return where entered and saved differ."""
    found: list[Difference] = []
    for theirs, ours, marks in zip(saved, entered, opened, strict=True):
        if isinstance(theirs, BaseFormSet):
            found += _of_rows(data, theirs, ours, marks)
        else:
            found += _of_row(data, rows_of(theirs)[0], rows_of(ours)[0], marks[0] if marks else ())
    return found


def _of_rows(data: QueryDict, saved: BaseFormSet, entered: AnyForm, marks: Marks) -> Iterator[Difference]:  # type: ignore[type-arg]  # any form
    theirs, ours = rows_of(saved), rows_of(entered)
    word = str(getattr(saved, "row_word", gettext_lazy("Row")))
    if len(theirs) == len(ours) and (marks is None or len(marks) == len(ours)):
        for number, (row, mine) in enumerate(zip(theirs, ours, strict=True), start=1):
            yield from _of_row(data, row, mine, marks[number - 1] if marks else (), f"{word} {number}, ")
        return
    untouched = marks is not None and [list(row) for row in marks] == [[shown.mark for shown in row] for row in ours]
    if untouched:
        _take(data, saved)
    yield from _between(theirs, ours, word, taken=untouched)


def _of_row(data: QueryDict, saved: Row, entered: Row, marks: Sequence[str], before: str = "") -> Iterator[Difference]:
    for place, (theirs, ours) in enumerate(zip(saved, entered, strict=False)):
        if theirs.same(ours):
            continue
        untouched = len(marks) == len(entered) and marks[place] == ours.mark
        if untouched:
            _put(data, ours.name, theirs.texts)
        yield Difference(f"{before}{ours.label}", theirs.words, ours.words, taken=untouched)


def _put(data: QueryDict, name: str, texts: Sequence[str]) -> None:
    data.pop(name, None)
    if texts:
        data.setlist(name, list(texts))


def _take(data: QueryDict, saved: BaseFormSet) -> None:  # type: ignore[type-arg]  # any form
    """Replace all rows by the saved ones, with the empty ones that the page shows below."""
    for key in [key for key in data if re.match(rf"{re.escape(str(saved.prefix))}-\d+-", key)]:
        del data[key]
    data[f"{saved.prefix}-{TOTAL_FORM_COUNT}"] = str(saved.total_form_count())
    data[f"{saved.prefix}-{INITIAL_FORM_COUNT}"] = str(saved.initial_form_count())
    for form in saved.forms:
        for shown in row_of(form):
            _put(data, shown.name, shown.texts)


def _between(saved: list[Row], entered: list[Row], word: str, *, taken: bool) -> Iterator[Difference]:
    """Compare whole rows: those only one of the two has, and those that stand in each other's place."""
    theirs, ours = ([tuple(shown.settled for shown in row) for row in rows] for rows in (saved, entered))
    for kind, start, end, first, last in SequenceMatcher(None, theirs, ours, autojunk=False).get_opcodes():
        if kind == "equal":
            continue
        pairs = zip_longest(saved[start:end], entered[first:last])
        for place, (row, mine) in enumerate(pairs):
            number = (first if mine is not None else start) + place + 1
            yield Difference(
                f"{word} {number}",
                words_of(row) if row is not None else NOTHING,
                words_of(mine) if mine is not None else NOTHING,
                taken=taken,
            )
