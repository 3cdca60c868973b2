"""Price rules: a target margin and the lines it applies to."""

from decimal import Decimal

from django.db import models

from catalog.records.fields import ExactDecimalField


class PriceRule(models.Model):
    """A target margin and what it applies to; the most specific rule wins."""

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
