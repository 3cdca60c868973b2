"""Orders can be canceled by a table of terms: what is kept is charged; the rules of their rows with it."""

from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds columns; the triggers are aside meanwhile, and then know them."""

    dependencies = [("orders", "0024_amendments")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="quote",
            name="cancellation_table",
            field=models.JSONField(blank=True, default=list, help_text="what is kept by days before the event"),
        ),
        migrations.AddField(
            model_name="order",
            name="canceled_by",
            field=models.CharField(
                blank=True,
                choices=[("customer", "The customer"), ("kitchen", "The kitchen")],
                default="",
                help_text="who canceled it",
                max_length=8,
            ),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="order",
            name="canceled_terms",
            field=models.JSONField(
                blank=True,
                null=True,
                help_text="the row that applied, the tax of what is kept, begun work and bought goods",
            ),
        ),
        migrations.AddField(
            model_name="order",
            name="retained_minor",
            field=models.BigIntegerField(blank=True, null=True, help_text="what the kitchen keeps of the total"),
        ),
        migrations.AddField(
            model_name="order",
            name="retained_reason",
            field=models.CharField(
                blank=True, default="", help_text="why it keeps less than its terms say", max_length=300
            ),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="order",
            constraint=models.CheckConstraint(
                condition=models.Q(retained_minor__isnull=True)
                | models.Q(status="canceled", retained_minor__gte=0, retained_minor__lte=models.F("total_minor")),
                name="order_retains_at_most_its_total",
            ),
        ),
        migrations.AddField(
            model_name="invoice",
            name="charges_cancellation",
            field=models.BooleanField(default=False, help_text="for what is kept of a canceled order"),
        ),
        Rules(install, remove),
    ]
