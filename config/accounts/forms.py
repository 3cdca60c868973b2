"""The sign-in form."""

from django import forms


class SignInForm(forms.Form):
    """Name and password; both may be pasted or filled by a password manager."""

    username = forms.CharField(
        label="User name",
        max_length=150,
        error_messages={"required": "Enter your user name."},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label="Password",
        max_length=1000,
        strip=False,
        error_messages={"required": "Enter your password."},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
