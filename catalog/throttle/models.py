"""How often something was tried. The rows hold no name and no address, and are deleted when they say nothing more."""

from django.db import models


class TryCount(models.Model):
    """The tries of one subject (an account, an address, a browser) within one scope."""

    scope = models.CharField(max_length=32)
    subject = models.CharField(max_length=64, help_text="keyed hash of who tries or of what is tried")
    tries = models.PositiveIntegerField(default=0)
    open_at = models.DateTimeField(help_text="when the next try is allowed")
    forget_at = models.DateTimeField(help_text="when the count begins anew and the row may go")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["scope", "subject"], name="try_count_once")]
        indexes = [models.Index(fields=["forget_at"], name="try_count_over")]

    def __str__(self) -> str:
        return f"{self.scope}: {self.tries}"
