"""The form of the first owner."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.utils.translation import gettext_lazy

from catalog.kitchen.forms import countries
from catalog.kitchen.models import Kitchen
from config.accounts.forms import NewPasswordForm, user_name_field


class FirstOwnerForm(NewPasswordForm):
    """Name, user name, password and country; the password is checked against the names just entered."""

    name = forms.CharField(
        label=gettext_lazy("Your name"),
        max_length=120,
        help_text=gettext_lazy("As the kitchen’s own pages show it."),
        error_messages={"required": gettext_lazy("Enter your name.")},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    username = user_name_field()
    country = forms.ChoiceField(
        label=gettext_lazy("Country of the kitchen"),
        choices=countries,
        initial=Kitchen._meta.get_field("country").default,
        help_text=gettext_lazy(
            "Currency, measures, paper, time zone, tax words and food rules are proposed by it on the next page."
        ),
        error_messages=dict.fromkeys(("required", "invalid_choice"), gettext_lazy("Choose the country.")),
    )
    field_order = ["name", "username", "new_password", "new_password_again", "country"]

    def __init__(self, data: Any = None) -> None:
        super().__init__(User(), data)

    def clean_username(self) -> str:
        """Let the password be compared with the names."""
        username: str = self.cleaned_data["username"]
        self.user.username = username
        self.user.first_name, _, self.user.last_name = self.cleaned_data.get("name", "").partition(" ")
        return username
