"""The lines of a recipe's editor: an amount and what it is of, as cooks write them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.pantry.common import common_of
from catalog.recipes.amounts import is_butter, pours, sticks_in_ounces
from catalog.recipes.cost_basis import CostBasis
from catalog.recipes.costs import LineCard
from catalog.records.near_names import spoken, words_of
from catalog.web.measure_fields import MeasureField, WordsField, measure_input, measure_read
from catalog.web.numbers import written_here
from catalog.web.row_forms import RowSet
from costing.measures.measure import MeasureError, parse_measure

Thing = tuple[str, str, str]
_WORD = re.compile(r"\w{3,}")
#: A number without a unit: 10, 2.5, 1 1/2, ½.
_NUMBER = re.compile(r"[\d.,'’/\s¼½¾⅓⅔⅛⅜⅝⅞]{0,19}[\d¼½¾⅓⅔⅛⅜⅝⅞]")
_IS = re.compile(r"lines-is-(\d{1,3})-(.{1,800})", re.DOTALL | re.ASCII)


class LineAmountField(MeasureField):
    """The amount of a line; in a kitchen with US cups, sticks are read too, of butter."""

    reads_sticks = False

    def clean(self, value: Any) -> str:
        ounces = sticks_in_ounces(str(value or ""), written_here()) if self.reads_sticks else None
        try:
            return ounces or super().clean(value)
        except ValidationError as error:
            cause = error.__cause__
            if self.reads_sticks and isinstance(cause, MeasureError) and cause.reason in ("unknown_unit", "unreadable"):
                # The sentence lists the units that every field reads; of butter this one reads another.
                sentence = gettext("%(problem)s Butter is read in sticks too: 2 sticks.")
                problem = {"problem": " ".join(error.messages)}
                raise ValidationError(sentence % problem, code="bad_measure") from None
            raise


class LineForm(forms.Form):
    """An amount and what it is of."""

    amount = LineAmountField(what=marked("the amount"), label=_("Amount"))
    what = WordsField(
        what=marked("the ingredient or recipe"),
        most=800,
        label=_("Ingredient or recipe"),
        widget=forms.TextInput(attrs={"list": "things", "autocomplete": "off"}),
        error_messages={"required": _("Enter an ingredient or a recipe, or remove the line.")},
    )

    def __init__(self, *args: Any, basis: CostBasis, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.basis = basis
        self.fields["amount"].error_messages["required"] = _("Enter an amount, such as 250 g.")
        self.fields["amount"].reads_sticks = basis.cup == "us"  # type: ignore[attr-defined]  # a LineAmountField

    def clean_what(self) -> Thing:
        return thing_named(self.cleaned_data["what"], self.basis)

    def clean(self) -> dict[str, Any]:
        """Refuse sticks of what is not sold in sticks; a number alone counts pieces of what has a piece weight."""
        found = super().clean() or {}
        if found.get("what") and (pieces := self._pieces(found["what"])):
            del self.errors["amount"]
            found["amount"] = pieces
        if found.get("amount") and self._sticks and found.get("what") and not is_butter(self._name(found["what"])):
            sentence = gettext("“%(text)s”: only butter and margarine come in sticks. Write a weight or a volume.")
            self.add_error("amount", sentence % {"text": str(self["amount"].value()).strip()[:60]})
        return found

    @property
    def hint(self) -> str:
        """How the amount was read, where it could be read otherwise; empty otherwise."""
        found = getattr(self, "cleaned_data", {})
        amount, thing = found.get("amount"), found.get("what")
        if not amount or not thing or self.errors:
            return ""
        if _NUMBER.fullmatch(str(self["amount"].value() or "").strip()):
            return gettext("Read as pieces: %(measure)s.") % {"measure": measure_input(amount)}
        if self._sticks:
            return gettext("Read as %(measure)s: a stick of butter is 4 oz.") % {"measure": measure_input(amount)}
        number, unit = str(amount).rsplit(" ", 1)
        if unit == "oz" and thing[0] and pours(self._name(thing)):
            shown = {"number": measure_input(number)}
            return gettext("Read as a weight. For fluid ounces, write %(number)s fl oz.") % shown
        return ""

    def _pieces(self, thing: Thing) -> str:
        """Return so many pieces for a number without a unit; empty where nobody knows what a piece weighs."""
        text, good = str(self["amount"].value() or "").strip(), self.basis.goods.get(thing[0])
        if "amount" not in self.errors or good is None or good.base == "each" or not _NUMBER.fullmatch(text):
            return ""
        try:
            amount = measure_read(" ".join((text, "each")))
            good.amount_of(parse_measure(amount), self.basis.cup, thing[1] or None)
        except (MeasureError, ValidationError):
            return ""
        return amount

    @property
    def _sticks(self) -> bool:
        return sticks_in_ounces(str(self["amount"].value() or ""), written_here()) is not None

    def _name(self, thing: Thing) -> str:
        good = self.basis.goods.get(thing[0])
        return good.name if good else ""

    @property
    def unknown(self) -> str:
        """The name that nothing goes by, as entered; empty where the line names something."""
        codes = {error.code for error in self.errors.as_data().get("what", [])} if self.is_bound else set()
        return " ".join(str(self["what"].value() or "").split())[:120] if "unknown" in codes else ""

    @property
    def meant(self) -> list[str]:
        """What an unknown name may mean."""
        return near_labels(self.unknown, self.basis) if self.unknown else []


def thing_named(text: str, basis: CostBasis) -> Thing:
    """Return the ingredient, part or recipe that a text names, ignoring case, number and turns at commas.

    Raises
    ------
    ValidationError
        With the names that come closest.
    """
    wanted = " ".join(text.replace(" :", ":").split()).casefold()
    folded = {label.casefold(): thing for label, thing in basis.labels.items()}
    for spelling in (wanted, f"{wanted} (recipe)", wanted.removesuffix(" (recipe)")):
        if spelling in folded:
            return folded[spelling]
    if same := _spoken_so(text, basis):
        return same
    counted = {good.name.casefold() for good in basis.goods.values() if good.base == "each"}
    if wanted in counted:
        raise ValidationError(
            gettext("%(name)s is only counted and cannot go into a recipe. Use it as packaging.") % {"name": text}
        )
    raise ValidationError(_unknown(text[:60], near_labels(wanted, basis)), code="unknown")


def _spoken_so(text: str, basis: CostBasis) -> Thing | None:
    """Return what is spoken as a text is, "All-purpose flour" of "Flour, all-purpose"; None where several are."""
    words = "".join(spoken(text))
    same = {thing for label, thing in basis.labels.items() if "".join(spoken(label)) == words} if words else set()
    return same.pop() if len(same) == 1 else None


def _unknown(text: str, near: list[str]) -> str:
    if not near:
        return gettext(
            "“%(text)s” is not one of your ingredients or recipes. Choose one from the list, or add it first."
        ) % {"text": text}
    return gettext(
        "“%(text)s” is not one of your ingredients or recipes. Did you mean %(names)s? "
        "Choose one from the list, or add it first."
    ) % {"text": text, "names": gettext(" or ").join(near)}


def near_labels(wanted: str, basis: CostBasis) -> list[str]:
    """Return the closest labels.

    First those with all words of the text and few others, such as a part of an egg, and what is commonly called so;
    then those that contain the text, and those with a similar word.
    """
    wanted, labels = " ".join(wanted.split()).casefold(), list(basis.labels)
    asked, common = set(words_of(wanted)), common_of(wanted)
    among = {label: set(words_of(label)) for label in labels}
    every = sorted((label for label in labels if asked and asked <= among[label]), key=lambda label: len(among[label]))
    every += [label for label in labels if common is not None and common_of(label) is common]
    within = [label for label in labels if wanted and wanted in label.casefold()]
    words: dict[str, list[str]] = {}
    for label in labels:
        for word in (label.casefold(), *_WORD.findall(label.casefold())):
            words.setdefault(word, []).append(label)
    close = [label for word in get_close_matches(wanted[:80], words, n=3, cutoff=0.75) for label in words[word]]
    return list(dict.fromkeys((*every, *within, *close)))[:3]


class LineSet(RowSet[LineForm]):
    """All lines, in order."""

    form = LineForm
    row_word = marked("Line")
    spare_rows = 1


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of the editor: its inputs, its figures, and its problem if it has one.

    ``hint`` is how the amount was read, ``unknown`` a name that nothing goes by, ``meant`` what it may mean.
    """

    form: LineForm
    card: LineCard | None
    problem: str
    number: int = 1
    hint: str = ""
    unknown: str = ""
    meant: Sequence[str] = ()

    @property
    def amount_label(self) -> str:
        """The hidden label of the amount."""
        return gettext("Amount, line %(number)s") % {"number": self.number}

    @property
    def what_label(self) -> str:
        """The hidden label of what it is of."""
        return gettext("Ingredient or recipe, line %(number)s") % {"number": self.number}


def suggestion_taken(data: QueryDict | None, do: str) -> QueryDict | None:
    """Return the editor's data after a suggestion's button, ``lines-is-2-Sugar``: the third line names it."""
    found = _IS.fullmatch(do)
    if data is None or found is None or f"lines-{found[1]}-what" not in data:
        return data
    data = data.copy()
    data[f"lines-{found[1]}-what"] = found[2]
    return data
