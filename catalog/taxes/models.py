"""Tax categories with their dated rates."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from catalog.records.fields import ExactDecimalField
from catalog.taxes.names import category_name


class TaxCategory(models.Model):
    """Goods or services taxed alike; rates are dated."""

    class Untdid(models.TextChoices):
        """UNTDID 5305 duty or tax category codes in use on invoices."""

        STANDARD = "S", _("S: taxed at the rate")
        ZERO = "Z", _("Z: zero rated")
        EXEMPT = "E", _("E: exempt")
        OUTSIDE = "O", _("O: outside the scope of tax")

    code = models.CharField(max_length=200, unique=True)
    name = models.CharField(max_length=80, blank=True)
    untdid = models.CharField(max_length=1, choices=Untdid, default=Untdid.STANDARD)
    exempt_reason = models.CharField(max_length=200, blank=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name_plural = _("tax categories")

    def __str__(self) -> str:
        return category_name(self.name, self.code)


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
        return f"{self.category} {self.rate} {self.starts}"
