"""A form that adds something asks when a near name exists; adding it anyway is one tick."""

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.records.near_names import near_rows


@dataclass(frozen=True, slots=True)
class Near:
    """Something that exists under a near name, and where it is shown."""

    pk: int
    name: str
    url: str


class AsksNear(forms.Form):
    """A form with a name that asks once; ``near`` is what exists under a near name.

    Without ``ask_near`` it has no more to ask: the tick is removed where a record is edited.
    """

    another = forms.BooleanField(required=False, label=_("Add it anyway: this is a different one"))
    near: Sequence[Near] = ()

    def ask_near(self, rows: type[Model], *, page: str, also: Sequence[tuple[int, str]] = ()) -> None:
        """Refuse a name that is near one of a table's until the tick is set; ``page`` is the address of a row.

        ``also`` are rows that may be meant for another reason: primary key and name.
        """
        name = str(self["name"].value() or "").replace("\x00", "")[:500]
        found = dict([*near_rows(rows, name), *also])
        self.near = [Near(pk, there, reverse(page, args=[pk])) for pk, there in found.items()]
        if self.near and not self.cleaned_data.get("another") and "name" not in self.errors:
            names = gettext(" or ").join(one.name for one in self.near)
            sentence = gettext(
                "You may already have this: %(names)s. Use that one, or check the box that this is a different one."
            )
            self.add_error("name", ValidationError(sentence % {"names": names}, code="near"))

    def never_near(self) -> None:
        """Ask nothing: a record that exists is edited."""
        del self.fields["another"]
