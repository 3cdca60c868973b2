"""What divides the balance after the invoice, and how far a guest count may fall after its final date."""

from django.db import migrations, models

import catalog.records.fields


class Migration(migrations.Migration):
    """Adds columns; without rows the balance is one payment, and without a share a lower count is as agreed."""

    dependencies = [("catalog", "0033_payment_schedule")]

    operations = [
        migrations.AddField(
            model_name="kitchen",
            name="payments_after",
            field=models.JSONField(
                blank=True, default=list, help_text="what divides the balance (catalog/kitchen/payment_schedule.py)"
            ),
        ),
        migrations.AddField(
            model_name="kitchen",
            name="final_count_fall",
            field=catalog.records.fields.ExactDecimalField(
                blank=True, null=True
            ),
        ),
    ]
