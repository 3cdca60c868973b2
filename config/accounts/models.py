"""Sessions with the person and browser they belong to, second factors, recovery codes, and what roles must have."""

from django.contrib.auth.models import User
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models


class BrowserSession(AbstractBaseSession):
    """A browser's session; the columns about the person are empty until somebody signs in with it."""

    user = models.ForeignKey(User, null=True, on_delete=models.CASCADE, related_name="+")
    signed_in_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    browser = models.CharField(max_length=40, blank=True, help_text="family and system, such as Firefox on Android")
    address = models.CharField(max_length=45, blank=True)


class NewEmail(models.Model):
    """An e-mail address that waits to be confirmed; the person's own one stays in use until then."""

    user = models.OneToOneField(User, primary_key=True, on_delete=models.CASCADE, related_name="+")
    email = models.EmailField()
    asked_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"new e-mail address of {self.user_id}"


class SecondFactor(models.Model):
    """The secret that a person's authenticator app shares with the service, encrypted; see ``secrets.py``."""

    user = models.OneToOneField(User, primary_key=True, on_delete=models.CASCADE, related_name="+")
    secret = models.TextField(blank=True)
    confirmed_at = models.DateTimeField(null=True, help_text="when the first code of the secret was entered")
    last_step = models.BigIntegerField(default=0, help_text="time step of the last code; no code counts twice")
    new_secret = models.TextField(blank=True, help_text="shown to be scanned, until a code of it was entered")
    new_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(confirmed_at=None, secret="")
                | (models.Q(confirmed_at__isnull=False) & ~models.Q(secret="")),
                name="second_factor_confirmed_secret",
            ),
        ]

    def __str__(self) -> str:
        return f"second factor of {self.user_id}"


class RecoveryCode(models.Model):
    """A code for the day the phone is lost: hashed, and good for one sign-in."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    hint = models.CharField(max_length=2, help_text="the code's first characters, by which its row is found")
    code_hash = models.CharField(max_length=128)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "hint"], name="recovery_code_hint")]

    def __str__(self) -> str:
        return f"recovery code {self.hint} of {self.user_id}"


class RoleRule(models.Model):
    """A role whose people must have a second factor."""

    role = models.CharField(max_length=20, primary_key=True)

    def __str__(self) -> str:
        return self.role
