"""Reminders to customers: whether and when they go out, their texts, and each that was asked for or held back."""

from django.db import models
from django.db.models import Q


class ReminderSettings(models.Model):
    """Whether reminders go out at all, and at which hour of the kitchen's clock; one row, off until the owner chose.

    What was due before ``since`` never goes out.
    """

    on = models.BooleanField(default=False)
    since = models.DateTimeField(null=True, blank=True)
    hour = models.PositiveSmallIntegerField(default=9)
    changed_at = models.DateTimeField(null=True, blank=True)
    changed_by = models.CharField(max_length=150, blank=True)

    def __str__(self) -> str:
        return f"reminders {'on' if self.on else 'off'}"


class ReminderRule(models.Model):
    """A kind of reminder as the owner wants it; a kind without a row is as at first.

    An empty subject or text is the usual one. What was due before ``since`` never goes out.
    """

    kind = models.CharField(max_length=20, primary_key=True)
    on = models.BooleanField(default=True)
    days = models.PositiveSmallIntegerField()
    since = models.DateTimeField(null=True, blank=True)
    subject = models.CharField(max_length=150, blank=True)
    text = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.kind


class Reminder(models.Model):
    """A reminder that was asked for, or held back: one for each kind, document and day it is about.

    ``number`` is the quote's, which all revisions and the order share. ``why`` is a code.
    """

    class Outcome(models.TextChoices):
        ASKED = "asked"
        SENT = "sent"
        NOT_NEEDED = "not_needed"
        #: The service was not running when it was due.
        MISSED = "missed"
        #: It may have gone out after the backup was made from which the kitchen was restored.
        UNSURE = "unsure"
        #: The owner did not want it.
        SKIPPED = "skipped"

    kind = models.CharField(max_length=20)
    document = models.CharField(max_length=20)
    document_pk = models.PositiveBigIntegerField()
    day = models.DateField(help_text="the day it is about, such as the last day of a deposit")
    number = models.CharField(max_length=20)
    outcome = models.CharField(max_length=10, choices=Outcome)
    why = models.CharField(max_length=20, blank=True)
    asked_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)
    by = models.CharField(max_length=150, blank=True, help_text="who sent or skipped it; empty: the clock")
    outbox = models.ForeignKey("catalog.Outbox", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["number"], name="reminder_of_number"),
            models.Index(fields=["outcome"], name="reminder_outcome"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["kind", "document", "document_pk", "day"], name="a_reminder_once"),
            models.CheckConstraint(
                condition=Q(outcome__in=["asked", "sent", "not_needed", "missed", "unsure", "skipped"]),
                name="reminder_outcome_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.number}, {self.day}"


class ReminderStop(models.Model):
    """The owner wants no reminders about a quote, any of its revisions, or its order, until it was ended."""

    number = models.CharField(max_length=20, primary_key=True, help_text="of the quote")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    ended_at = models.DateTimeField(null=True, blank=True, help_text="what was due before never goes out")

    def __str__(self) -> str:
        return f"no reminders about {self.number}"


class ThingsOut(models.Model):
    """What a customer has of the kitchen beside the molds that the catalog knows, and whether all of it is back."""

    order = models.OneToOneField("orders.Order", on_delete=models.PROTECT, related_name="things_out")
    things = models.CharField(max_length=300, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)
    back_by = models.CharField(max_length=150, blank=True)

    def __str__(self) -> str:
        return f"out with order {self.order_id}: {self.things}"
