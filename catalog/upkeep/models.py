"""Signs that the service is looked after: when its work was last seen running, and the backups that were made."""

from typing import Final

from django.db import models

#: The process that does the outbox's work, in its own loop or as a Celery worker.
WORK: Final = "work"
#: What is written down of a restore: when it was, and when the backup had been made.
RESTORED: Final = "restored"
RESTORED_BACKUP: Final = "restored_backup"


class Heartbeat(models.Model):
    """When a process that works behind the pages was last seen, or the kitchen restored; one row for each."""

    process = models.CharField(max_length=20, primary_key=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.process} seen {self.at:%Y-%m-%d %H:%M}"


class Backup(models.Model):
    """A backup that was made: when, how large, and whether it is encrypted. The backup itself is elsewhere."""

    at = models.DateTimeField()
    size = models.PositiveBigIntegerField(help_text="bytes")
    encrypted = models.BooleanField()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"backup of {self.at:%Y-%m-%d %H:%M}"
