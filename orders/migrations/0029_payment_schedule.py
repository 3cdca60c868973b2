"""Payment schedules: payments before the event in a quote's terms, and what an order is to be paid when."""

import django.db.models.deletion
from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


def schedules_of_deposits(apps, schema_editor) -> None:
    """Give each order with a deposit its schedule of one row."""
    order, scheduled = apps.get_model("orders", "Order"), apps.get_model("orders", "ScheduledPayment")
    rows = order.objects.filter(deposit_minor__gt=0, deposit_due_on__isnull=False)
    scheduled.objects.bulk_create(
        (
            scheduled(order_id=pk, kind="deposit", amount_minor=amount, upto_minor=amount, due_on=due)
            for pk, amount, due in rows.values_list("pk", "deposit_minor", "deposit_due_on").iterator()
        ),
        batch_size=500,
    )


class Migration(migrations.Migration):
    """Adds columns and a table; the triggers are aside meanwhile, and then know them."""

    dependencies = [("orders", "0028_called_off")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="quote",
            name="deposit_fixed_minor",
            field=models.BigIntegerField(blank=True, help_text="an amount, instead of the share", null=True),
        ),
        migrations.AddField(
            model_name="quote",
            name="payments_before",
            field=models.JSONField(blank=True, default=list, help_text="what is due before the event"),
        ),
        migrations.CreateModel(
            name="ScheduledPayment",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("kind", models.CharField(choices=[("deposit", "deposit"), ("payment", "payment")], max_length=7)),
                ("amount_minor", models.BigIntegerField()),
                ("upto_minor", models.BigIntegerField()),
                ("due_on", models.DateField()),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="scheduled", to="orders.order"
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "indexes": [models.Index(fields=["due_on", "order"], name="scheduled_by_day")],
                "constraints": [
                    models.UniqueConstraint(fields=("order", "due_on"), name="one_payment_of_a_day"),
                    models.CheckConstraint(
                        condition=models.Q(amount_minor__gt=0, upto_minor__gte=models.F("amount_minor")),
                        name="scheduled_amounts",
                    ),
                ],
            },
        ),
        migrations.RunPython(schedules_of_deposits, migrations.RunPython.noop),
        Rules(install, remove),
    ]
