"""Forms of signing in and of a person's account. Everything may be pasted or filled by a password manager."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from config.accounts.role_words import role_choices


class _Password(forms.CharField):
    """A password as it was typed, spaces too."""

    def __init__(self, *, autocomplete: str = "current-password", **kwargs: Any) -> None:
        widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
        super().__init__(max_length=1000, strip=False, widget=widget, **kwargs)


class _Code(forms.CharField):
    """A code of the authenticator app, or a recovery code."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attrs), **kwargs)


def user_name_field() -> forms.CharField:
    """Return the field of a new person's user name."""
    return forms.CharField(
        label=gettext_lazy("User name"),
        max_length=60,
        help_text=gettext_lazy("What you sign in with, such as maren. Letters, digits and . _ - @ +, no spaces."),
        validators=[
            UnicodeUsernameValidator(
                message=gettext_lazy("Use only letters, digits and . _ - @ + in the user name, and no spaces.")
            )
        ],
        error_messages={"required": gettext_lazy("Enter a user name.")},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )


class SignInForm(forms.Form):
    """Name and password."""

    username = forms.CharField(
        label=gettext_lazy("User name"),
        max_length=150,
        error_messages={"required": gettext_lazy("Enter your user name.")},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = _Password(
        label=gettext_lazy("Password"), error_messages={"required": gettext_lazy("Enter your password.")}
    )


class CodeForm(forms.Form):
    """The second step of signing in."""

    one_time_code = _Code(
        label=gettext_lazy("Code"),
        help_text=gettext_lazy("The six digits your authenticator app shows now, or one of your recovery codes."),
        error_messages={"required": gettext_lazy("Enter the code.")},
    )


class FirstCodeForm(forms.Form):
    """The first code of a new secret."""

    one_time_code = _Code(
        label=gettext_lazy("Code from the app"),
        help_text=gettext_lazy("Six digits. A new code comes every 30 seconds."),
        error_messages={"required": gettext_lazy("Enter the code your app shows.")},
    )


class OwnPasswordForm(forms.Form):
    """The person's own password, before something that matters."""

    password = _Password(
        label=gettext_lazy("Your password"), error_messages={"required": gettext_lazy("Enter your password.")}
    )


class EmailForm(OwnPasswordForm):
    """Another e-mail address."""

    email = forms.EmailField(
        label=gettext_lazy("E-mail"),
        max_length=254,
        help_text=gettext_lazy(
            "Links to set a new password are sent here once you have confirmed the address by mail."
        ),
        error_messages={
            "required": gettext_lazy("Enter your e-mail address."),
            "invalid": gettext_lazy("Write the e-mail address in full, such as ida@example.org."),
        },
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    field_order = ["email", "password"]


class NewPasswordForm(forms.Form):
    """A new password, typed twice."""

    new_password = _Password(
        label=gettext_lazy("New password"),
        autocomplete="new-password",
        help_text=gettext_lazy("At least 12 characters. Three or four words that do not belong together are good."),
        error_messages={"required": gettext_lazy("Enter a new password.")},
    )
    new_password_again = _Password(
        label=gettext_lazy("Confirm new password"),
        autocomplete="new-password",
        error_messages={"required": gettext_lazy("Enter the new password a second time.")},
    )

    def __init__(self, user: User, *args: Any, **kwargs: Any) -> None:
        self.user = user
        super().__init__(*args, **kwargs)

    def clean_new_password(self) -> str:
        """Refuse a password that is short, common, or like the person's name."""
        password: str = self.cleaned_data["new_password"]
        validate_password(password, self.user)
        return password

    def clean_new_password_again(self) -> str:
        """Refuse two that differ."""
        again: str = self.cleaned_data["new_password_again"]
        first = self.cleaned_data.get("new_password")
        if first is not None and first != again:
            raise ValidationError(gettext("The two new passwords differ. Type the same one twice."))
        return again


class ChangePasswordForm(NewPasswordForm):
    """The old password and a new one."""

    password = _Password(
        label=gettext_lazy("Current password"),
        error_messages={"required": gettext_lazy("Enter your current password.")},
    )
    field_order = ["password", "new_password", "new_password_again"]


class AskLinkForm(forms.Form):
    """Where a link to set a new password is sent."""

    email = forms.EmailField(
        label=gettext_lazy("E-mail"),
        max_length=254,
        error_messages={
            "required": gettext_lazy("Enter your e-mail address."),
            "invalid": gettext_lazy("Write the e-mail address in full, such as ida@example.org."),
        },
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )


class RoleRulesForm(OwnPasswordForm):
    """Roles whose people must have two-step sign-in."""

    roles = forms.MultipleChoiceField(
        label=gettext_lazy("Two-step sign-in is required for"),
        required=False,
        choices=role_choices,
        widget=forms.CheckboxSelectMultiple,
    )
    field_order = ["roles", "password"]
