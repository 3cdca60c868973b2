"""Records of measured cooling: an item of an order, its readings, whether the rule was kept, and what was done."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from orders.records.row_rules import RowRules

#: ``parts`` of a record of all vessels, where nothing stated how many there were.
EVERY: Final = 0
#: ``steps_mark`` of a record of what kept its rule by the steps of then.
UNBROKEN: Final = "-"


@dataclass(frozen=True, slots=True)
class Reading:
    """A temperature of the middle and when it was read [°C]."""

    at: datetime
    celsius: Decimal


def readings_written(readings: Iterable[Reading], step: str = "") -> list[dict[str, str]]:
    """Return readings as they are stored: exact decimals as text; of what cools twice with the step they are about."""
    of_step = {"step": step} if step else {}
    return [{"at": one.at.isoformat(), "c": str(one.celsius), **of_step} for one in readings]


class CoolingRecord(models.Model):
    """What was measured of a product of an order, or of a recipe's batch for it. Rows are only added.

    ``readings`` are all that are known when it is recorded, earliest first: a record that goes on repeats those before.
    Of what cools more than once each names the step that it is about.
    A batch may stand in several vessels: then ``part`` is the number of the one that was measured, or 0 when each was.
    ``parts`` is how many there were by then, or ``EVERY``: a record of all of them is of no vessel that came later.
    ``common`` are all orders for which the batch was made at once; empty where it was made for this one alone.
    ``item`` is the name and ``rule`` the rule in force at that time. ``steps_mark`` is the mark of the steps and the
    verdict by which it broke its rule then, ``UNBROKEN`` where it broke none; empty where that is not known.
    """

    ROWS = RowRules(name="a cooling record")

    class Outcome(models.TextChoices):
        COOLING = "cooling", _("Still cooling: more readings follow")
        MET = "met", _("Met: cold in time")
        NOT_MET = "not_met", _("Not met")

    class Action(models.TextChoices):
        NONE = "", _("Nothing yet")
        REHEATED = "reheated", _("Reheated to 165 °F (74 °C) and cooled once more")
        DISCARDED = "discarded", _("Discarded")

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="cooling_records")
    product = models.ForeignKey(
        "catalog.Product", on_delete=models.PROTECT, null=True, blank=True, related_name="cooling_records"
    )
    recipe = models.ForeignKey(
        "catalog.Recipe", on_delete=models.PROTECT, null=True, blank=True, related_name="cooling_records"
    )
    item = models.CharField(max_length=120)
    rule = models.CharField(max_length=200, blank=True)
    started_at = models.DateTimeField(null=True, blank=True, help_text="when cooling began")
    readings = models.JSONField(default=list)
    outcome = models.CharField(max_length=7, choices=Outcome)
    action = models.CharField(max_length=9, choices=Action, blank=True, help_text="what was done where it was not kept")
    note = models.CharField(max_length=300, blank=True)
    part = models.PositiveIntegerField(default=0, help_text="number of the vessel that was measured; 0: every one")
    parts = models.PositiveIntegerField(default=1, help_text="how many vessels it stood in")
    steps_mark = models.CharField(max_length=64, blank=True, help_text="by which steps and verdict it was measured")
    common = models.JSONField(default=list, help_text="keys of all orders the batch was made for at once")
    recorded_by = models.CharField(max_length=150)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(product__isnull=False, recipe__isnull=True) | Q(product__isnull=True, recipe__isnull=False),
                name="record_of_product_or_recipe",
            ),
            models.CheckConstraint(
                condition=Q(outcome="not_met", action__in=["reheated", "discarded"])
                | Q(outcome__in=["cooling", "met"], action=""),
                name="action_where_not_met",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item}: {self.get_outcome_display()}"

    @property
    def step(self) -> str:
        """The step whose cooling was measured, of what cools more than once; empty where it cools once."""
        return next((one["step"] for one in self.readings if "step" in one), "")

    @property
    def read(self) -> tuple[Reading, ...]:
        """The readings as values, earliest first."""
        return tuple(Reading(datetime.fromisoformat(one["at"]), Decimal(one["c"])) for one in self.readings)
