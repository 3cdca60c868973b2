"""The usual payment schedule, and where customers pay: a bank account and a payment page."""

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
        migrations.AddField(
            model_name="kitchen", name="bank_holder", field=models.CharField(blank=True, default="", max_length=70), preserve_default=False
        ),
        migrations.AddField(
            model_name="kitchen", name="bank_iban", field=models.CharField(blank=True, default="", max_length=34), preserve_default=False
        ),
        migrations.AddField(
            model_name="kitchen", name="bank_bic", field=models.CharField(blank=True, default="", max_length=11), preserve_default=False
        ),
        migrations.AddField(
            model_name="kitchen", name="bank_routing", field=models.CharField(blank=True, default="", max_length=9), preserve_default=False
        ),
        migrations.AddField(
            model_name="kitchen", name="bank_account", field=models.CharField(blank=True, default="", max_length=17), preserve_default=False
        ),
        migrations.AddField(
            model_name="kitchen",
            name="payment_page",
            field=models.CharField(
                blank=True,
                default="",
                help_text="address with {amount} and {reference} (catalog/kitchen/bank.py)",
                max_length=400,
            ),
            preserve_default=False,
        ),
    ]
