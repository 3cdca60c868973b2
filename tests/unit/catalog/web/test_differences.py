"""What a form shows, and three versions of it: opened, saved, entered."""

from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.http import QueryDict

from catalog.web.differences import Difference, marks_of, marks_read, merge
from catalog.web.fields import NumberField, PercentField
from catalog.web.row_forms import RowSet
from catalog.web.shown_values import rows_of


class CakeForm(forms.Form):
    name = forms.CharField(label="Name", required=False)
    price = NumberField(what="the price", label="Price", required=False)
    margin = PercentField(what="the margin", label="Margin", required=False)
    sold = forms.BooleanField(label="Sold", required=False)
    kind = forms.ChoiceField(label="Kind", choices=[("", "choose"), ("w", "whole"), ("p", "portion")], required=False)
    allergens = forms.MultipleChoiceField(
        label="Allergens",
        choices=[("m", "milk"), ("e", "eggs")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )


class LineForm(forms.Form):
    amount = forms.CharField(label="Amount", required=False)
    what = forms.CharField(label="Of what", required=False)


class LineSet(RowSet[LineForm]):
    form = LineForm
    row_word = "Line"


CAKE: dict[str, Any] = {
    "name": "Plum", "price": Decimal("12"), "margin": Decimal("0.5"), "sold": True, "kind": "w", "allergens": ["m"],
}  # fmt: skip


def cake(**facts: Any) -> CakeForm:
    return CakeForm(initial=CAKE | facts)


def entered(**texts: Any) -> QueryDict:
    """Return what a browser sends of the cake's form with some fields changed; None empties one."""
    data = QueryDict(mutable=True)
    sent = {"name": "Plum", "price": "12", "margin": "50", "sold": "on", "kind": "w", "allergens": ["m"], **texts}
    for name, text in sent.items():
        if text is not None:
            data.setlist(name, text if isinstance(text, list) else [text])
    return data


def merged(saved: CakeForm, data: QueryDict, opened: CakeForm) -> list[Difference]:
    marks = marks_read(marks_of([opened])[1:], 1)
    return merge(data, saved=[saved], entered=[CakeForm(data)], opened=marks)


def test_a_form_that_nobody_touched_sends_what_its_marks_say() -> None:
    assert marks_of([cake()]) == marks_of([CakeForm(entered())])
    assert marks_of([cake(price=Decimal("12.00"))]) == marks_of([cake()])


def test_what_was_not_touched_takes_the_saved_value() -> None:
    data = entered(name="Damson")
    saved = cake(margin=Decimal("0.6"), sold=False, kind="p", allergens=["m", "e"])
    assert merged(saved, data, cake()) == [
        Difference("Name", "Plum", "Damson"),
        Difference("Margin", "60", "50", taken=True),
        Difference("Sold", "no", "yes", taken=True),
        Difference("Kind", "portion", "whole", taken=True),
        Difference("Allergens", "eggs, milk", "milk", taken=True),
    ]
    assert CakeForm(data).data.getlist("allergens") == ["e", "m"]  # type: ignore[union-attr]  # a QueryDict
    assert "sold" not in data
    assert (data["name"], data["margin"], data["kind"]) == ("Damson", "60", "p")


def test_the_same_value_written_in_another_way_is_no_difference() -> None:
    assert merged(cake(price=Decimal("1200")), entered(price="1,200"), cake()) == []
    assert merged(cake(margin=Decimal("0.6")), entered(margin="60 %"), cake()) == []
    assert merged(cake(name="a\r\nb"), entered(name="a\nb "), cake()) == []


def test_without_marks_every_difference_stays_as_it_was_entered() -> None:
    data = entered()
    found = merge(data, saved=[cake(name="Damson")], entered=[CakeForm(data)], opened=marks_read("", 1))
    assert found == [Difference("Name", "Damson", "Plum")]
    assert data["name"] == "Plum"


@pytest.mark.parametrize("text", ["x", "....", "AAAA/BBBB.CCCC", "/" * 9, "A" * 1000])
def test_marks_of_another_form_decide_nothing(text: str) -> None:
    data = entered()
    found = merge(data, saved=[cake(name="Damson")], entered=[CakeForm(data)], opened=marks_read(text, 1))
    assert [difference.taken for difference in found] == [False]


class TestRows:
    @staticmethod
    def saved(*rows: tuple[str, str]) -> LineSet:
        return LineSet(prefix="lines", rows=[{"amount": amount, "what": what} for amount, what in rows])

    @staticmethod
    def data(*rows: tuple[str, str]) -> QueryDict:
        data = QueryDict(mutable=True)
        data.update({"lines-TOTAL_FORMS": str(len(rows)), "lines-INITIAL_FORMS": "0"})
        for number, (amount, what) in enumerate(rows):
            data.update({f"lines-{number}-amount": amount, f"lines-{number}-what": what})
        return data

    def merged(self, opened: LineSet, saved: LineSet, data: QueryDict) -> list[Difference]:
        marks = marks_read(marks_of([opened])[1:], 1)
        return merge(data, saved=[saved], entered=[LineSet(data, prefix="lines")], opened=marks)

    def test_rows_of_the_same_number_are_merged_field_by_field(self) -> None:
        data = self.data(("1 g", "salt"), ("2 g", "milk"), ("", ""))
        opened, saved = self.saved(("1 g", "salt"), ("2 g", "cream")), self.saved(("9 g", "salt"), ("2 g", "cream"))
        assert self.merged(opened, saved, data) == [
            Difference("Line 1, Amount", "9 g", "1 g", taken=True),
            Difference("Line 2, Of what", "cream", "milk"),
        ]
        assert data["lines-0-amount"] == "9 g"

    def test_rows_that_nobody_touched_are_all_taken(self) -> None:
        data = self.data(("1 g", "salt"), ("2 g", "cream"))
        opened, saved = self.saved(("1 g", "salt"), ("2 g", "cream")), self.saved(("2 g", "cream"))
        assert self.merged(opened, saved, data) == [Difference("Line 1", "nothing", "1 g, salt", taken=True)]
        again = LineSet(data, prefix="lines")
        assert [[shown.words for shown in row] for row in rows_of(again)] == [["2 g", "cream"]]

    def test_rows_that_both_changed_stay_as_they_were_entered(self) -> None:
        data = self.data(("1 g", "salt"), ("2 g", "cream"), ("3 g", "zest"))
        opened, saved = self.saved(("1 g", "salt")), self.saved(("1 g", "salt"), ("5 g", "plums"))
        assert self.merged(opened, saved, data) == [
            Difference("Line 2", "5 g, plums", "2 g, cream"),
            Difference("Line 3", "nothing", "3 g, zest"),
        ]
        assert data["lines-2-what"] == "zest"
