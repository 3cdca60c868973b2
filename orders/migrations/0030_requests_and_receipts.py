"""Payment requests and receipts, with numbers of their own; credit carried between orders; the rules of their rows."""

import django.db.models.deletion
from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds a table and a column; the triggers are aside meanwhile, and then know them."""

    dependencies = [("orders", "0029_payment_schedule")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="payment",
            name="carried_from",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="carried_to",
                to="orders.payment",
            ),
        ),
        migrations.AlterField(
            model_name="payment",
            name="method",
            field=models.CharField(
                choices=[
                    ("10", "cash"),
                    ("20", "check"),
                    ("30", "bank transfer"),
                    ("48", "card"),
                    ("68", "online payment"),
                    ("97", "credit of another order"),
                ],
                max_length=2,
            ),
        ),
        migrations.CreateModel(
            name="PaymentPaper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(choices=[("request", "payment request"), ("receipt", "receipt")], max_length=7),
                ),
                ("number", models.CharField(max_length=20, unique=True)),
                ("amount_minor", models.BigIntegerField()),
                ("currency", models.CharField(max_length=3)),
                ("due_on", models.DateField(blank=True, null=True)),
                ("issued_at", models.DateTimeField()),
                ("issued_on", models.DateField()),
                ("issued_by", models.CharField(max_length=150)),
                ("content", models.TextField()),
                ("content_sha256", models.CharField(max_length=64)),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="papers", to="orders.order"
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="receipt",
                        to="orders.payment",
                    ),
                ),
                (
                    "pdf",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="orders.document",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(kind="request", payment__isnull=True, due_on__isnull=False)
                        | models.Q(kind="receipt", payment__isnull=False, due_on__isnull=True),
                        name="paper_of_its_kind",
                    ),
                    models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="paper_of_something"),
                ],
            },
        ),
        Rules(install, remove),
    ]
