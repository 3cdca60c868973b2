"""An approved quote can be amended: another revision takes its place in the order; the rules of their rows with it."""

import django.db.models.deletion
from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds columns and a status; the triggers are aside meanwhile, and then know them."""

    dependencies = [("orders", "0023_offered_windows")]

    operations = [
        Rules(remove, install),
        migrations.RemoveConstraint(model_name="quote", name="quote_status_known"),
        migrations.AddField(
            model_name="order",
            name="event_in_force",
            field=models.JSONField(
                blank=True,
                null=True,
                help_text="columns of its inquiry as they are in force while an amendment is open",
            ),
        ),
        migrations.AddField(
            model_name="order",
            name="bill_to",
            field=models.JSONField(
                blank=True,
                null=True,
                help_text="name, address, country and tax number for the invoice, where they are others",
            ),
        ),
        migrations.AddField(
            model_name="quote",
            name="amends",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="amendments",
                to="orders.order",
            ),
        ),
        migrations.AddField(
            model_name="invoice",
            name="settles",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="orders.quote"
            ),
        ),
        migrations.AddField(model_name="message", name="wants", field=models.JSONField(blank=True, null=True)),
        migrations.AlterField(
            model_name="quote",
            name="status",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("sent", "sent"),
                    ("approved", "approved"),
                    ("declined", "declined"),
                    ("expired", "expired"),
                    ("withdrawn", "withdrawn"),
                    ("amended", "amended"),
                ],
                default="draft",
                max_length=9,
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    status__in=["draft", "sent", "approved", "declined", "expired", "withdrawn", "amended"]
                ),
                name="quote_status_known",
            ),
        ),
        Rules(install, remove),
    ]
