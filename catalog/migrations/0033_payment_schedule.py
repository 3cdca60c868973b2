"""The usual payment schedule: a deposit as an amount, and payments before the event."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds columns; without rows the rest is due after the invoice, as before."""

    dependencies = [("catalog", "0032_cancellation_table")]

    operations = [
        migrations.AddField(
            model_name="kitchen",
            name="deposit_minor",
            field=models.BigIntegerField(
                blank=True, help_text="an amount in minor units, instead of the share", null=True
            ),
        ),
        migrations.AddField(
            model_name="kitchen",
            name="payments_before",
            field=models.JSONField(
                blank=True, default=list, help_text="payments before the event (catalog/kitchen/payment_schedule.py)"
            ),
        ),
    ]
