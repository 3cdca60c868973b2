"""The kitchen's own profile, hours and monthly figures."""

from decimal import Decimal
from typing import Final

from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.pictures.models import PictureUse
from catalog.records.fields import ExactDecimalField

#: Name of a kitchen before its owner has entered one.
UNNAMED: Final = marked("Your kitchen")


class Kitchen(models.Model):
    """The one kitchen this service works for (a single row, pk 1)."""

    class Measures(models.TextChoices):
        US = "us", _("US customary (cup, oz, lb)")
        METRIC = "metric", _("Metric (g, kg, ml, l)")

    class Degrees(models.TextChoices):
        FAHRENHEIT = "F", "°F"
        CELSIUS = "C", "°C"

    class Distance(models.TextChoices):
        KM = "km", _("kilometers")
        MILE = "mi", _("miles")

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", _("Letter")

    class Prices(models.TextChoices):
        NET = "net", _("without tax; tax is added")
        GROSS = "gross", _("with tax in them")

    class Allergens(models.TextChoices):
        US = "us", _("United States: nine major allergens")
        EU = "eu", _("European Union and United Kingdom: fourteen allergens")
        ANZ = "anz", _("Australia and New Zealand: Food Standards Code, Schedule 9")
        CA = "ca", _("Canada: priority allergens, gluten sources and sulfites")

    class FoodSafety(models.TextChoices):
        US = "us", _("United States: Food Code, law where it was adopted")
        AU = "au", _("Australia: Food Standards Code, law")
        NZ = "nz", _("New Zealand: template food control plan")
        CA_NB = "ca-nb", _("Canada, New Brunswick: law")
        CA_QC = "ca-qc", _("Canada, Quebec: law")
        CA = "ca", _("Canada, elsewhere: model code, not law by itself")
        EU = "eu", _("European Union: Regulation 852/2004, law")
        UK_EN = "uk-en", _("England: law")
        UK_WA = "uk-wa", _("Wales: law")
        UK_NI = "uk-ni", _("Northern Ireland: law")
        UK_SC = "uk-sc", _("Scotland: law")
        UK_COOK_CHILL = "uk-cook-chill", _("United Kingdom: cook-chill guidance, not law")
        # Divided since; a kitchen that chose them keeps them until its owner chooses a part.
        ANZ = "anz", _("Australia or New Zealand, chosen before they were divided")
        UK = "uk", _("United Kingdom, chosen before its nations were divided")

    name = models.CharField(max_length=120)
    legal_name = models.CharField(max_length=120, blank=True)
    address = models.TextField(blank=True)
    country = models.CharField(max_length=2, default="US", help_text="ISO 3166-1 code")
    email = models.EmailField()
    phone = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    locale = models.CharField(max_length=12, default="en_US")
    time_zone = models.CharField(max_length=64, default="America/New_York")
    measures = models.CharField(max_length=6, choices=Measures, default=Measures.US)
    cup = models.CharField(
        max_length=6, choices=[("us", _("US cup, 236.6 ml")), ("metric", _("metric cup, 250 ml"))], default="us"
    )
    degrees = models.CharField(max_length=1, choices=Degrees, default=Degrees.FAHRENHEIT)
    distance = models.CharField(max_length=2, choices=Distance, default=Distance.KM)
    paper = models.CharField(max_length=6, choices=Paper, default=Paper.LETTER)
    allergen_list = models.CharField(max_length=3, choices=Allergens, default=Allergens.US)

    cross_contact = models.TextField(
        blank=True, help_text="what the kitchen says about traces on everything a customer gets; empty: the usual words"
    )

    food_safety = models.CharField(max_length=13, choices=FoodSafety, default=FoodSafety.US)
    room_c = ExactDecimalField(default=Decimal(24), help_text=_("air in the kitchen, °C"))
    away_c = ExactDecimalField(default=Decimal(25), help_text=_("air on the way and at the table, °C"))
    vehicle_cold = models.BooleanField(default=False, help_text="every vehicle is refrigerated")
    time_out_minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="the house's or its authority's longest time out of the cold, minutes"
    )
    time_out_source = models.CharField(max_length=200, blank=True, help_text="whose limit that is, and where it stands")
    checks_note = models.CharField(
        max_length=400,
        blank=True,
        default="",
        help_text="who checks temperatures and times, on the printed procedure",
    )

    longest_wait_min = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="how long a batch may wait where a step states no longest hold, minutes"
    )

    prices = models.CharField(max_length=5, choices=Prices, default=Prices.NET)
    price_step = ExactDecimalField(default=Decimal("0.05"))
    waste = ExactDecimalField(default=Decimal(0))
    floor_margin = ExactDecimalField(default=Decimal(0))
    order_minimum = ExactDecimalField(default=Decimal(0))
    rush_rate = ExactDecimalField(default=Decimal(0))

    tax_name = models.CharField(
        max_length=40, default=marked("Sales tax"), help_text="what the tax is called on documents"
    )
    tax_number = models.CharField(max_length=40, blank=True)
    tax_note = models.TextField(blank=True, help_text="wording the law asks for on invoices")

    monthly_labor_hours = ExactDecimalField(
        null=True, blank=True, help_text=_("hours paid and worked on products in a month")
    )
    monthly_orders = ExactDecimalField(null=True, blank=True)
    # A stated rate overrides the derived one; if both are empty there is no such overhead.
    per_labor_hour = ExactDecimalField(null=True, blank=True)
    per_order = ExactDecimalField(null=True, blank=True)

    delivery_role = models.ForeignKey("catalog.Role", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    delivery_per_km = ExactDecimalField(default=Decimal(0))
    delivery_margin = ExactDecimalField(default=Decimal(0))
    delivery_tax = models.ForeignKey(
        "catalog.TaxCategory",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="empty: taxed as the goods it carries",
    )

    quote_valid_days = models.PositiveSmallIntegerField(default=14)
    deposit_share = ExactDecimalField(default=Decimal("0.3"))
    deposit_days = models.PositiveSmallIntegerField(default=7, help_text="days after approval until the deposit is due")
    deposit_minor = models.BigIntegerField(
        null=True, blank=True, help_text="an amount in minor units, instead of the share"
    )
    payments_before = models.JSONField(
        default=list, blank=True, help_text="payments before the event (catalog/kitchen/payment_schedule.py)"
    )
    final_count_days = models.PositiveSmallIntegerField(default=10, help_text="days before the event")
    #: The share by which the count may fall after that; empty: as agreed.
    final_count_fall = ExactDecimalField(null=True, blank=True)
    balance_days = models.PositiveSmallIntegerField(default=7, help_text="days after the invoice")
    payments_after = models.JSONField(
        default=list, blank=True, help_text="what divides the balance (catalog/kitchen/payment_schedule.py)"
    )
    cancellation_terms = models.TextField(blank=True)
    cancellation_table = models.JSONField(
        default=list, blank=True, help_text="what is kept by days before the event (catalog/kitchen/cancellation.py)"
    )
    cancellation_tax = models.ForeignKey(
        "catalog.TaxCategory",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="of what is kept of a canceled order; empty: asked each time",
    )
    approve_button = models.CharField(max_length=80, default=marked("Approve and commit to pay"))
    payment_details = models.TextField(blank=True, help_text="how to pay; shown after approval and on invoices")

    # Bank details, without spaces; those of another country than the kitchen's stay empty.
    bank_holder = models.CharField(max_length=70, blank=True)
    bank_iban = models.CharField(max_length=34, blank=True)
    bank_bic = models.CharField(max_length=11, blank=True)
    bank_routing = models.CharField(max_length=9, blank=True)
    bank_account = models.CharField(max_length=17, blank=True)
    payment_page = models.CharField(
        max_length=400, blank=True, help_text="address with {amount} and {reference} (catalog/kitchen/bank.py)"
    )

    # Most events, and most guests of all its events, that the owner wants on one day; empty: no such limit.
    most_events_per_day = models.PositiveIntegerField(null=True, blank=True)
    most_guests_per_day = models.PositiveIntegerField(null=True, blank=True)

    revision = models.PositiveBigIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_kitchen"),
            models.CheckConstraint(
                condition=models.Q(time_out_minutes__isnull=True, time_out_source="")
                | (models.Q(time_out_minutes__isnull=False, time_out_minutes__gt=0) & ~models.Q(time_out_source="")),
                name="time_out_has_a_source",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class KitchenLogo(PictureUse):
    """The kitchen's logo on what its customers get."""

    kitchen = models.OneToOneField(Kitchen, on_delete=models.CASCADE, primary_key=True, related_name="logo")
    has_name = models.BooleanField(default=False, help_text="the name can be read in it, so it is not repeated")

    def __str__(self) -> str:
        return f"the logo of {self.kitchen_id}"


class Vehicle(models.Model):
    """A vehicle that delivers."""

    name = models.CharField(max_length=80, unique=True)
    cold = models.BooleanField(default=False, help_text="it is refrigerated")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class OpenHours(models.Model):
    """An interval in which somebody works; a weekday may have several."""

    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday")
    opens = models.TimeField()
    closes = models.TimeField()
    hands = models.PositiveSmallIntegerField(null=True, blank=True, help_text="people there; empty: not stated")

    class Meta:
        ordering = ["weekday", "opens", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(weekday__lte=6), name="weekday_0_to_6"),
            models.CheckConstraint(condition=models.Q(closes__gt=models.F("opens")), name="closes_after_opening"),
            models.CheckConstraint(condition=models.Q(hands__isnull=True) | models.Q(hands__gt=0), name="hands_there"),
        ]

    def __str__(self) -> str:
        return f"{self.weekday} {self.opens:%H:%M} to {self.closes:%H:%M}"


class HandOverHours(models.Model):
    """An interval in which things may be picked up or leave; a weekday may have several."""

    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday")
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        ordering = ["weekday", "opens", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(weekday__lte=6), name="hand_over_weekday_0_to_6"),
            models.CheckConstraint(condition=models.Q(closes__gt=models.F("opens")), name="hand_over_closes_later"),
        ]

    def __str__(self) -> str:
        return f"{self.weekday} {self.opens:%H:%M} to {self.closes:%H:%M}"


class DatedHours(models.Model):
    """An interval in which somebody works on a date; all those of a date count instead of its weekday's."""

    date = models.DateField()
    opens = models.TimeField()
    closes = models.TimeField()
    hands = models.PositiveSmallIntegerField(null=True, blank=True, help_text="people there; empty: not stated")
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["date", "opens", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(closes__gt=models.F("opens")), name="dated_closes_later"),
            models.CheckConstraint(
                condition=models.Q(hands__isnull=True) | models.Q(hands__gt=0), name="dated_hands_there"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.date:%Y-%m-%d} {self.opens:%H:%M} to {self.closes:%H:%M}"


class ClosedDay(models.Model):
    """A date on which nobody works."""

    date = models.DateField(unique=True)
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["date"]

    def __str__(self) -> str:
        return f"{self.date:%Y-%m-%d} {self.reason}".strip()
