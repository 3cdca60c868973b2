"""The rows of a cancellation table, on the page of the kitchen's terms and on those of a quote; the tax of the rest."""

from typing import Any, Final, cast

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.cancellation import RetainedRow
from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from catalog.web.fields import PercentField, WholeField

#: Prefix of the rows' fields.
PREFIX: Final = "retained"


class RetainedRowForm(forms.Form):
    """From so many days before the event on, a share of the total; an empty row is ignored."""

    days = WholeField(
        what=_("the days before the event"),
        label=_("From days before the event"),
        least=0,
        most=730,
        example="21",
        required=False,
    )
    share = PercentField(
        what=_("the cancellation charge"),
        label=_("Cancellation charge, % of total"),
        most=100,
        example="50",
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = {key: data.get(key) is not None or key in self.errors for key in ("days", "share")}
        if given["share"] and not given["days"]:
            self.add_error("days", gettext("Enter from how many days before the event this charge applies."))
        if given["days"] and not given["share"]:
            self.add_error("share", gettext("Enter the charge as a percentage of the total, 0 for none."))
        return data


class BaseRetainedFormSet(forms.BaseFormSet[RetainedRowForm]):
    """A cancellation table: each day once, and the charge never falls as the event comes nearer."""

    row_word = marked("Cancellation charge")

    def clean(self) -> None:
        seen: dict[int, forms.Form] = {}
        rows = sorted(self.complete_rows(), key=lambda form: -form.cleaned_data["days"])
        least = None
        for form in rows:
            days, share = form.cleaned_data["days"], form.cleaned_data["share"]
            if days in seen:
                form.add_error("days", gettext("This number of days is entered twice. Remove one of the rows."))
            elif least is not None and share < least:
                form.add_error(
                    "share",
                    gettext(
                        "The charge cannot fall as the event comes nearer. Enter at least the one of the row before."
                    ),
                )
            seen[days], least = form, share if least is None else max(least, share)

    def complete_rows(self) -> list[RetainedRowForm]:
        """Return the complete rows that are not removed."""
        return [form for form in self.forms if _is_complete(form)]

    def rows(self) -> list[RetainedRow]:
        """Return the table; call it on rows without errors."""
        return [RetainedRow(row["days"], row["share"]) for row in (form.cleaned_data for form in self.complete_rows())]


def _is_complete(form: RetainedRowForm) -> bool:
    if not form.is_valid() or form.cleaned_data.get("DELETE"):
        return False
    return form.cleaned_data.get("days") is not None and form.cleaned_data.get("share") is not None


RetainedFormSet = forms.formset_factory(
    RetainedRowForm, formset=BaseRetainedFormSet, extra=1, can_delete=True, max_num=20, absolute_max=30
)


def retained_rows(data: Any, rows: list[RetainedRow]) -> BaseRetainedFormSet:
    """Return the rows of a form: as submitted, or as stored."""
    initial = [{"days": row.days, "share": row.share} for row in rows]
    return cast(BaseRetainedFormSet, RetainedFormSet(data, initial=initial, prefix=PREFIX))


def tax_choices() -> list[tuple[str, str]]:
    """Return the tax categories to choose from by their key."""
    return [(str(tax.pk), str(tax)) for tax in TaxCategory.objects.all()]


class CancellationTaxForm(forms.Form):
    """The tax category of what is kept of a canceled order."""

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"tax": str(kitchen.cancellation_tax_id or "")})
        super().__init__(*args, **kwargs)
        self.fields["tax"] = forms.ChoiceField(
            label=_("Tax category of a cancellation charge"),
            choices=[("", gettext("Ask when an order is canceled")), *tax_choices()],
            required=False,
            help_text=_(
                "Whether a cancellation charge is taxed, and how, differs from place to place: ask a licensed"
                " accountant."
            ),
        )

    def tax_id(self) -> int | None:
        """Return the key of the category that is chosen; call it on a form without errors."""
        chosen = self.cleaned_data["tax"]
        return int(chosen) if chosen else None
