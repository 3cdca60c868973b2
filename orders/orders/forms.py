"""Forms of an order: delivered, canceled, a note for the kitchen."""

from typing import Any

from django import forms

from catalog.web.display import minor
from orders.invoices.order_money import OrderMoney
from orders.orders.models import Order


class CancelForm(forms.Form):
    """The reason of a cancellation, and what happens with the money."""

    reason = forms.CharField(
        label="Why it is cancelled",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write why it is cancelled."},
    )

    def __init__(self, *args: Any, order: Order, money: OrderMoney, **kwargs: Any):
        super().__init__(*args, **kwargs)
        if money.received > 0:
            self.fields["money"] = forms.ChoiceField(
                label=f"What happens with the {minor(money.received, order.currency)} that came in",
                choices=Order.CanceledMoney.choices,
                widget=forms.RadioSelect,
                error_messages={
                    "required": "Decide what happens with the money that came in.",
                    "invalid_choice": "Decide what happens with the money that came in.",
                },
            )


class NoteForm(forms.Form):
    """The order's note for the kitchen."""

    note = forms.CharField(
        label="Note for the kitchen", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )


class InformForm(forms.Form):
    """That the customer knows of new allergens: by a mail, or by a call with whom it reached."""

    way = forms.ChoiceField(
        choices=[("mail", "mail"), ("phone", "phone")],
        error_messages={
            "required": "Say whether to write to them or that you called them.",
            "invalid_choice": "Say whether to write to them or that you called them.",
        },
    )
    seen = forms.CharField(max_length=40, required=False)
    note = forms.CharField(
        label="Whom you reached, and what they said",
        max_length=300,
        help_text="Such as: Ida herself, she tells the two guests.",
        error_messages={"required": "Write whom you reached and what they said, so that others know it."},
    )

    def __init__(self, *args: Any, **kwargs: Any):
        super().__init__(*args, **kwargs)
        if self.is_bound and self.data.get("way") == "mail":
            self.fields["note"].required = False


class DeliverForm(forms.Form):
    """The note of the hand-over."""

    note = forms.CharField(
        label="What to remember of the hand-over",
        max_length=300,
        required=False,
        help_text="Who took it, its temperature, what was missing.",
    )
