"""An invoice that is due in several payments, and how far a guest count may fall; the rules of their rows with it."""

import django.db.models.deletion
from django.db import migrations, models

import catalog.records.fields
from orders.records.immutable_rows import install, remove


class Migration(migrations.Migration):
    """Adds columns and a table; the triggers are aside meanwhile, and then know them."""

    dependencies = [("orders", "0030_requests_and_receipts")]

    operations = [
        migrations.RunPython(remove, install),
        migrations.AddField(
            model_name="quote",
            name="payments_after",
            field=models.JSONField(blank=True, default=list, help_text="what divides the balance"),
        ),
        migrations.AddField(
            model_name="quote",
            name="final_count_fall",
            field=catalog.records.fields.ExactDecimalField(
                blank=True, null=True
            ),
        ),
        migrations.AddField(model_name="invoice", name="next_on", field=models.DateField(blank=True, null=True)),
        migrations.CreateModel(
            name="InvoicePart",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("amount_minor", models.BigIntegerField()),
                ("due_on", models.DateField()),
                (
                    "invoice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="parts", to="orders.invoice"
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("invoice", "due_on"), name="one_part_of_a_day"),
                    models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="part_of_something"),
                ],
            },
        ),
        migrations.RunPython(install, remove),
    ]
