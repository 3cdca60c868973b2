"""What an hour of labor and of a station costs, and the monthly figures that overhead rates come from."""

from decimal import Decimal

from django.db import models

from catalog.records.fields import ExactDecimalField


class Role(models.Model):
    """A kind of work and its pay."""

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    hourly = ExactDecimalField()
    on_cost = ExactDecimalField(default=Decimal(0), help_text="share added to pay: employer's taxes, insurance")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.code


class Station(models.Model):
    """An oven, refrigerator, freezer, rack or bench."""

    class Kind(models.TextChoices):
        OVEN = "oven", "oven"
        REFRIGERATOR = "refrigerator", "refrigerator"
        FREEZER = "freezer", "freezer"
        RACK = "rack", "rack"
        BENCH = "bench", "bench"

    class Air(models.TextChoices):
        STILL = "still", "still air"
        FAN = "fan", "air moved by a fan"
        BLAST = "blast", "blast chiller, strong moving air"

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=12, choices=Kind)
    # A stated rate overrides the one derived from monthly costs and hours.
    hourly = ExactDecimalField(null=True, blank=True)
    monthly_hours = ExactDecimalField(null=True, blank=True)
    places = models.PositiveIntegerField(null=True, blank=True, help_text="trays or shelf places it takes at once")
    air_c = ExactDecimalField(null=True, blank=True, help_text="air temperature it is kept at, °C")
    air = models.CharField(max_length=5, choices=Air, default=Air.STILL)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.code


class MonthlyCost(models.Model):
    """A monthly overhead figure and its carrier: what it is divided by."""

    class Carrier(models.TextChoices):
        LABOR = "labour", "each paid labour hour"
        ORDER = "order", "each order"
        STATION = "station", "each hour of one station"

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
