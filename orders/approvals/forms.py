"""The customer's forms: approve, ask for a change, decline."""

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.web.fields import WholeField
from orders.approvals.signed_names import Signed, signed_with
from orders.documents.content import QuoteContent
from orders.quotes.amendments.fall_presenters import below_words
from orders.quotes.amendments.falls import LeastCounts, servings_with

#: Most that can be asked for of anything.
MOST = 100_000


class ApproveForm(forms.Form):
    """The name of the person who approves, and the hash of the content shown."""

    name = forms.CharField(
        label=_("Your full name, as you would sign"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
        error_messages={"required": _("Enter your full name, as you would sign.")},
    )
    content_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64, required=False)
    only_name = forms.BooleanField(
        required=False,
        help_text=_("If you wrote anything else there, such as an allergy, leave it unchecked: we read it and answer."),
    )
    #: The name for which the question was shown: it is asked once, and approving again answers it either way.
    asked_name = forms.CharField(widget=forms.HiddenInput, max_length=120, required=False)

    def __init__(self, *args: Any, recorded: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.recorded, self.asks = recorded, False

    def clean(self) -> dict[str, Any]:
        """Ask whether a name is only a name, where it is not the one ``recorded``."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        name = str(data.get("name", ""))
        if name and signed_with(name, self.recorded) is Signed.NAME:
            self.asks = True
            self["only_name"].label = gettext("“%(name)s” is only a name") % {"name": name}
            if data.get("asked_name") != name:
                words = gettext("The quote is for %(recorded)s. Check the box below the name, then approve again.")
                self.add_error("name", words % {"recorded": self.recorded})
                self.data = {**dict(self.data.items()), "asked_name": name, "only_name": ""}
        return data


class ChangeForm(forms.Form):
    """A change the customer asks for."""

    text = forms.CharField(
        label=_("What would you like to change?"),
        help_text=_("For example the number of guests, a dessert or the time."),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": _("Write what you would like to change.")},
    )


class OrderChangeForm(ChangeForm):
    """A change of an order: other counts of its desserts, the guests, and anything else in words.

    ``multiples`` says by the code of a dessert in which numbers it is sold, ``least`` what the terms allow by now.
    """

    def __init__(
        self,
        *args: Any,
        content: QuoteContent,
        multiples: Mapping[str, int],
        least: LeastCounts | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.content, self.multiples, self.least = content, multiples, least
        self.fields["text"].required = False
        self.fields["text"].label = _("Anything else you would like to change")
        self.fields["text"].help_text = _("For example another dessert, the date, the time or the place.")
        for place, line in enumerate(content.lines):
            self.fields[f"units_{place}"] = WholeField(
                what=line.name, label=line.name, least=0, most=MOST, initial=line.units, required=False
            )
        self.fields["guests"] = WholeField(
            what=_("the number of guests"),
            label=_("Guests"),
            least=1,
            most=MOST,
            initial=content.event.guests,
            required=False,
        )

    def counts(self) -> list[forms.BoundField]:
        """Return the fields of the desserts and the guests."""
        return [*(self[f"units_{place}"] for place in range(len(self.content.lines))), self["guests"]]

    def clean(self) -> dict[str, Any]:
        """Ask for a change, and for counts in which a dessert is sold."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for place, line in enumerate(self.content.lines):
            units, step = data.get(f"units_{place}"), self.multiples.get(line.product, 1)
            if units and units % step and units != line.units:
                down = units - units % step
                fits = {"name": line.name, "step": step, "fits": down or step, "more": down + step}
                words = gettext("%(name)s comes in multiples of %(step)s: enter %(fits)s or %(more)s.")
                self.add_error(f"units_{place}", words % fits)
        if not self.errors and self.least is not None:
            self._check_least(self.least)
        if not self.errors and not self.wants() and not data.get("text"):
            self.add_error(None, gettext("Nothing is changed yet. Enter another number, or write what should change."))
        return data

    def _check_least(self, least: LeastCounts) -> None:
        """Refuse counts that are lowered below the terms."""
        wanted, before = self.wants(), self.content
        guests, servings = wanted.get("guests"), servings_with(before, wanted.get("units", {}))
        more = gettext("To ask for less, leave the number as it is and write to us in the last field.")
        for one in least.below(guests, servings):
            was = before.event.guests if one.what == "guests" else before.servings
            if was is None or one.count < was:
                self.add_error("guests" if one.what == "guests" else None, f"{below_words(one, least)} {more}")

    def wants(self) -> dict[str, Any]:
        """Return the counts that differ from the order's."""
        given = ((line, self.cleaned_data.get(f"units_{place}")) for place, line in enumerate(self.content.lines))
        units = {line.product: count for line, count in given if count is not None and count != line.units}
        guests = self.cleaned_data.get("guests")
        wanted: dict[str, Any] = {"units": units} if units else {}
        return wanted | ({"guests": guests} if guests and guests != self.content.event.guests else {})

    def words(self) -> str:
        """Write the change for the kitchen: each count with what it is now, then the customer's own words."""
        return "\n".join(filter(None, [*self._counted(), self.cleaned_data.get("text", "").strip()]))

    def _counted(self) -> Iterator[str]:
        wanted = self.wants()
        for line in self.content.lines:
            if line.product in wanted.get("units", {}):
                facts = {"name": line.name, "now": wanted["units"][line.product], "was": line.units}
                yield gettext("%(name)s: %(now)s instead of %(was)s.") % facts
        if "guests" in wanted:
            was = self.content.event.guests
            facts = {"now": wanted["guests"], "was": was or gettext("not known")}
            yield gettext("Guests: %(now)s instead of %(was)s.") % facts


class DeclineForm(forms.Form):
    """The customer's reason for declining, optional."""

    reason = forms.CharField(
        label=_("Your reason"),
        help_text=_("It helps us to know. You can leave it empty."),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
