"""The outbox: work that must happen, one row in the same commit as the change that requests it.

It is part of the lowest app with a database, so that every app can write to it.
"""

import secrets

from django.db import models
from django.utils.translation import gettext_lazy


def new_message_key() -> str:
    """Return a key that no other row ever had, not even one that was lost before a restore."""
    return secrets.token_hex(16)


class Outbox(models.Model):
    """A mail to send, a PDF to make, a file to read. Handlers are named in ``settings.OUTBOX_HANDLERS``."""

    class Status(models.TextChoices):
        WAITING = "waiting", gettext_lazy("waiting")
        RUNNING = "running", gettext_lazy("in progress")
        DONE = "done", gettext_lazy("done")
        FAILED = "failed", gettext_lazy("failed")

    kind = models.CharField(max_length=40)
    payload = models.JSONField(default=dict)
    about = models.CharField(max_length=40, blank=True, help_text="document it concerns, such as quote:12")
    summary = models.CharField(max_length=200, blank=True, help_text="what it is about, for the owner")
    status = models.CharField(max_length=8, choices=Status, default=Status.WAITING)
    message_key = models.CharField(
        max_length=32,
        unique=True,
        default=new_message_key,
        editable=False,
        help_text="the Message-ID of its mail is made of this: the same at every attempt, never given again",
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    error = models.JSONField(default=dict, blank=True, help_text="why the last attempt failed: a code and params")
    created_at = models.DateTimeField()
    run_after = models.DateTimeField()
    wake_after = models.DateTimeField(null=True, blank=True, help_text="when the broker is sent it again, if not yet")
    claimed_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    request_id = models.CharField(max_length=64, blank=True, help_text="of the request that asked for it, for the log")

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "outbox"
        indexes = [
            models.Index(fields=["status", "run_after"], name="outbox_due"),
            models.Index(fields=["about"], name="outbox_about"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(status__in=["waiting", "running", "done", "failed"]), name="outbox_status"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}: {self.status}"
