"""The forms of people the owner adds and changes."""

from django import forms
from django.utils.translation import gettext_lazy

from config.accounts.forms import user_name_field
from config.accounts.role_words import role_choices


class PersonForm(forms.Form):
    """Name, e-mail address and role."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=120,
        error_messages={"required": gettext_lazy("Enter the person’s name.")},
    )
    email = forms.EmailField(
        label=gettext_lazy("E-mail"),
        max_length=254,
        required=False,
        help_text=gettext_lazy("Invitations and links for a new password go here. Without one you hand them over."),
        error_messages={"invalid": gettext_lazy("Write the e-mail address in full, such as ida@example.org.")},
    )
    role = forms.ChoiceField(
        label=gettext_lazy("Role"),
        choices=role_choices,
        widget=forms.RadioSelect,
        help_text=gettext_lazy(
            "The owner sees and changes everything. The kitchen sees orders, sheets and recipes, without prices or"
            " money. The bookkeeper sees orders, invoices, payments and exports."
        ),
        error_messages=dict.fromkeys(("required", "invalid_choice"), gettext_lazy("Choose a role.")),
    )


class NewPersonForm(PersonForm):
    """The same with the user name, which stays."""

    username = user_name_field()
    field_order = ["name", "username", "email", "role"]
