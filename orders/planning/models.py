"""What was answered about a draft's window beside what is promised."""

from django.db import models


class WindowCheck(models.Model):
    """The last check of a quote's table and window against the plan of the kitchen.

    ``key`` stands for all it was asked about: the catalog, the table, the window, and what was promised around it.
    Another key means that it is out of date. ``answer`` is empty until it is worked out.
    """

    quote = models.OneToOneField("orders.Quote", on_delete=models.CASCADE, related_name="window_check")
    key = models.CharField(max_length=64)
    answer = models.JSONField(default=dict, blank=True)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"window of quote {self.quote_id}"
