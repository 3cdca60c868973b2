"""The plan of the kitchen as it is stored, and what was answered about a quote's window beside what is promised."""

from django.db import models


class WindowCheck(models.Model):
    """The last check of a quote's table and window against the plan of the kitchen.

    ``key`` stands for all it was asked about: the catalog, the table, the window, and what was promised around it.
    Another key means that it is out of date. ``answer`` is empty until it is worked out. Of a sent quote that offers
    several windows it is about the one of number ``window_chosen``.
    """

    quote = models.OneToOneField("orders.Quote", on_delete=models.CASCADE, related_name="window_check")
    key = models.CharField(max_length=64)
    answer = models.JSONField(default=dict, blank=True)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)
    window_chosen = models.PositiveSmallIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return f"window of quote {self.quote_id}"


class KitchenPlan(models.Model):
    """The plan of what is promised: one row, which each approval locks and moves on by one version.

    ``placed`` says where each load is (:mod:`orders.planning.placements`), by the catalog of ``revision``, which has
    the hours too. ``over`` are loads that have no place by it, after it was looked for at length. ``reserved`` are the
    keys of the quotes whose day is kept while they wait for an answer.
    """

    version = models.PositiveBigIntegerField(default=0)
    revision = models.PositiveBigIntegerField(default=0)
    placed = models.JSONField(default=list, blank=True)
    over = models.JSONField(default=list, blank=True)
    reserved = models.JSONField(default=list, blank=True)
    computed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"plan version {self.version}"
