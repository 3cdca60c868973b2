"""Forms of an order: the list's search, delivered, canceled, a note for the kitchen."""

from collections.abc import Collection
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.web.display import minor
from catalog.web.display.settings import current
from catalog.web.fields import DayField
from catalog.web.measure_fields import TemperatureField, in_degrees
from orders.cooling_log.forms import WITHIN
from orders.cooling_log.presenters import left_out_words
from orders.cooling_log.selectors import CoolingMark
from orders.invoices.order_money import OrderMoney
from orders.orders.going_out import asks_core
from orders.orders.models import Order
from orders.orders.presenters import sort_choices
from orders.quotes.cooling.selectors import Item


class FindForm(forms.Form):
    """What a list of orders is searched for, and its order; what cannot be read does not narrow it."""

    find = forms.CharField(label=_("Order number, event or customer"), required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, money: bool, sort: str, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.usual = sort
        self.fields["day"] = DayField(
            what=_("the event day"), label=_("Event day"), month_first=kitchen.country == "US", required=False
        )
        self.fields["sort"] = forms.ChoiceField(
            label=_("Sort by"), choices=sort_choices(money=money), initial=sort, required=False
        )

    def asked(self) -> dict[str, Any]:
        """Return what could be read."""
        self.is_valid()
        data = self.cleaned_data
        return {"find": data.get("find", ""), "day": data.get("day"), "sort": data.get("sort", "")}

    def clean_sort(self) -> str:
        return str(self.cleaned_data["sort"] or self.usual)


class CancelForm(forms.Form):
    """The reason of a cancellation, and what happens with the money."""

    reason = forms.CharField(
        label=_("Reason for canceling"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Enter why the order is canceled.")},
    )

    def __init__(self, *args: Any, order: Order, money: OrderMoney, **kwargs: Any):
        super().__init__(*args, **kwargs)
        if money.received > 0:
            paid = {"amount": minor(money.received, order.currency)}
            decide = _("Choose what happens with the payments received.")
            self.fields["money"] = forms.ChoiceField(
                label=gettext("What happens with the %(amount)s already paid") % paid,
                choices=Order.CanceledMoney.choices,
                widget=forms.RadioSelect,
                error_messages={"required": decide, "invalid_choice": decide},
            )


class NoteForm(forms.Form):
    """The order's note for the kitchen."""

    note = forms.CharField(
        label=_("Kitchen note"), max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )


_HOW = _("Choose an e-mail to the customer or a phone call you have made.")


class InformForm(forms.Form):
    """That the customer knows of new allergens: by a mail, or by a call with whom it reached."""

    way = forms.ChoiceField(
        choices=[("mail", "mail"), ("phone", "phone")], error_messages={"required": _HOW, "invalid_choice": _HOW}
    )
    seen = forms.CharField(max_length=40, required=False)
    note = forms.CharField(
        label=_("Whom you reached"),
        max_length=300,
        help_text=_("Such as: Ida Fenwick."),
        error_messages={"required": _("Enter whom you reached, so that others know it.")},
    )
    their_words = forms.CharField(
        label=_("What they said"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("In their words. It is answered like every message of a customer."),
    )

    note_read = forms.CharField(required=False, max_length=40)
    #: The mark of a note that somebody has to read for needs; empty where nothing is asked.
    asked = ""

    def __init__(self, *args: Any, **kwargs: Any):
        super().__init__(*args, **kwargs)
        if self.is_bound and self.data.get("way") == "mail":
            self.fields["note"].required = False


class DespiteForm(forms.Form):
    """That an order goes on in spite of what is not settled with its customer, by the mark of that."""

    despite = forms.CharField(required=False, max_length=40)


class ReadForm(DespiteForm):
    """The same, what the customer wrote and was read, and the marks of the kitchen note and of old sheets."""

    read = forms.CharField(required=False, widget=forms.MultipleHiddenInput)
    note_read = forms.CharField(required=False, max_length=40)
    sheets_seen = forms.CharField(required=False, max_length=40)

    def messages_read(self) -> list[int]:
        """Return the keys of the messages that are ticked as read."""
        ticked = self.data.getlist("read") if isinstance(self.data, QueryDict) else []
        return [int(one) for one in ticked if one.isascii() and one.isdigit() and len(one) < 16]


class StartForm(ReadForm):
    """The same, and the mark of what would be older than it keeps, were it made today."""

    early = forms.CharField(required=False, max_length=40)


class DeliverForm(ReadForm):
    """The note of the hand-over, and what was discarded and does not go out."""

    left_out = forms.MultipleChoiceField(label=_("Discarded"), required=False, widget=forms.CheckboxSelectMultiple)
    core = TemperatureField(
        label=_("Core temperature at the hand-over, of the warmest"),
        what=_("the core temperature"),
        within=WITHIN,
        examples=("39", "4"),
    )
    note = forms.CharField(
        label=_("Note about the delivery or pickup"),
        max_length=300,
        required=False,
        help_text=_("Who received it, its temperature, what was missing."),
    )

    def __init__(self, *args: Any, marks: Collection[CoolingMark], **kwargs: Any):
        super().__init__(*args, **kwargs)
        self._items = {str(mark.item): mark for mark in marks if mark.discarded}
        if self._items:
            shown = [(key, left_out_words(mark)) for key, mark in self._items.items()]
            self.fields["left_out"].choices = shown  # type: ignore[attr-defined]  # a MultipleChoiceField
        else:
            del self.fields["left_out"]
        if any(asks_core(mark) for mark in marks):
            in_degrees(self, current().degrees)
        else:
            del self.fields["core"]

    def left_out_items(self) -> list[Item]:
        """Return what is ticked not to go out; call it on a form without errors."""
        return [self._items[key].item for key in self.cleaned_data.get("left_out", ())]
