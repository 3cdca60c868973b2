"""The form that brings in a whole kitchen."""

from collections.abc import Sequence
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy, ngettext

from costing.contract import CostingError

#: Errors of a file that are shown; whoever made it by hand mends these and sees the next.
_SHOWN: Final = 20
_MOST_BYTES: Final = 10 * 1024 * 1024


class KitchenFileForm(forms.Form):
    """The file that “Download the whole kitchen” made."""

    kitchen = forms.FileField(
        label=gettext_lazy("File of a whole kitchen"),
        error_messages={
            "required": gettext_lazy("Choose the file that “Download the whole kitchen” made."),
            "empty": gettext_lazy("The file is empty. Choose another."),
        },
        help_text=gettext_lazy("JSON, at most 10 MB."),
    )

    def clean_kitchen(self) -> Any:
        """Refuse a file that is too large."""
        file = self.cleaned_data["kitchen"]
        if file.size > _MOST_BYTES:
            raise ValidationError(gettext("The file is larger than 10 MB, so it is none of a kitchen. Choose another."))
        return file

    def refuse(self, errors: Sequence[CostingError]) -> None:
        """Name what is wrong in the file, each with its place."""
        for error in errors[:_SHOWN]:
            self.add_error("kitchen", f"{error.at}: {error.message}")
        more = len(errors) - _SHOWN
        if more > 0:
            words = ngettext("%(n)d more problem in the file.", "%(n)d more problems in the file.", more)
            self.add_error("kitchen", words % {"n": more})
