"""What an hour of labor and of a station costs, and the monthly figures that overhead rates come from."""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField


class Role(models.Model):
    """A kind of work and its pay."""

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    hourly = ExactDecimalField()
    on_cost = ExactDecimalField(default=Decimal(0), help_text=_("share added to pay: employer's taxes, insurance"))
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.code


class Station(models.Model):
    """An oven, refrigerator, freezer, rack or bench."""

    class Kind(models.TextChoices):
        OVEN = "oven", _("oven")
        REFRIGERATOR = "refrigerator", _("refrigerator")
        FREEZER = "freezer", _("freezer")
        RACK = "rack", _("rack")
        BENCH = "bench", _("bench")

    class Air(models.TextChoices):
        STILL = "still", _("still air")
        FAN = "fan", _("air moved by a fan")
        BLAST = "blast", _("blast chiller, strong moving air")

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=12, choices=Kind)
    # A stated rate overrides the one derived from monthly costs and hours.
    hourly = ExactDecimalField(null=True, blank=True)
    monthly_hours = ExactDecimalField(null=True, blank=True)
    places = models.PositiveIntegerField(null=True, blank=True, help_text=_("trays or shelf places it takes at once"))
    air_c = ExactDecimalField(null=True, blank=True, help_text=_("air temperature it is kept at, °C"))
    air = models.CharField(max_length=5, choices=Air, default=Air.STILL)
    count = models.PositiveIntegerField(default=1, help_text="how many there are alike; the places are of one of them")
    tolerance_c = ExactDecimalField(
        null=True, blank=True, help_text=_("how far temperatures of loads at the same time may lie apart, °C")
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.code


class StationOut(models.Model):
    """A time in which some stations of those alike are out of order, by the clocks of the kitchen.

    Days and clocks stay as they were entered when the kitchen's time zone changes, as closed days do.
    """

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="outs")
    first_day = models.DateField()
    begins = models.TimeField()
    last_day = models.DateField()
    ends = models.TimeField()
    count = models.PositiveIntegerField(default=1)
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day", "begins", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gt=models.F("first_day"))
                | models.Q(last_day=models.F("first_day"), ends__gt=models.F("begins")),
                name="out_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_day:%Y-%m-%d} {self.begins:%H:%M} to {self.last_day:%Y-%m-%d} {self.ends:%H:%M}"


class MonthlyCost(models.Model):
    """A monthly overhead figure and its carrier: what it is divided by."""

    class Carrier(models.TextChoices):
        LABOR = "labour", _("each paid labor hour")
        ORDER = "order", _("each order")
        STATION = "station", _("each hour of one station")

    name = models.CharField(max_length=80)
    amount = ExactDecimalField()
    carrier = models.CharField(max_length=8, choices=Carrier, default=Carrier.LABOR)
    station = models.ForeignKey(
        "catalog.Station", on_delete=models.CASCADE, null=True, blank=True, related_name="monthly_costs"
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=(models.Q(carrier="station") & models.Q(station__isnull=False))
                | (~models.Q(carrier="station") & models.Q(station__isnull=True)),
                name="station_named_when_it_carries",
            )
        ]

    def __str__(self) -> str:
        return self.name
