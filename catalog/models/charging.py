"""What the kitchen charges with: pay, stations, tax rates and price rules."""

from decimal import Decimal

from django.db import models

from catalog.fields import ExactDecimalField


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
    # A rate stated by hand stands before the one derived from monthly costs and hours.
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


class TaxCategory(models.Model):
    """Goods or services taxed alike; rates are dated."""

    class Untdid(models.TextChoices):
        """UNTDID 5305 duty or tax category codes in use on invoices."""

        STANDARD = "S", "S: taxed at the rate"
        ZERO = "Z", "Z: zero rated"
        EXEMPT = "E", "E: exempt"
        OUTSIDE = "O", "O: outside the scope of tax"

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    untdid = models.CharField(max_length=1, choices=Untdid, default=Untdid.STANDARD)
    exempt_reason = models.CharField(max_length=200, blank=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name_plural = "tax categories"

    def __str__(self) -> str:
        return self.name or self.code


class TaxRate(models.Model):
    """The rate of a category from a date on."""

    category = models.ForeignKey(TaxCategory, on_delete=models.CASCADE, related_name="rates")
    rate = ExactDecimalField()
    starts = models.DateField()
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["category", "starts"], name="one_rate_a_day")]

    def __str__(self) -> str:
        return f"{self.category} {self.rate} from {self.starts}"


class PriceRule(models.Model):
    """A target margin and what it is for; the most specific rule wins."""

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=120, blank=True)
    margin = ExactDecimalField()
    product = models.ForeignKey(
        "catalog.Product", on_delete=models.CASCADE, null=True, blank=True, related_name="price_rules"
    )
    category = models.CharField(max_length=200, blank=True)
    customer_kind = models.CharField(max_length=200, blank=True)
    from_units = models.PositiveIntegerField(default=0)
    minimum = ExactDecimalField(default=Decimal(0))
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name or self.code
