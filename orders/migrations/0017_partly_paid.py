"""The status of an invoice that is paid in part reads so."""

from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Changes the words of a choice; the triggers are aside meanwhile."""

    dependencies = [("orders", "0016_windows_beside_the_plan")]

    operations = [
        Rules(remove, install),
        migrations.AlterField(
            model_name="invoice",
            name="status",
            field=models.CharField(
                choices=[("draft", "draft"), ("issued", "issued"), ("part_paid", "partly paid"), ("paid", "paid")],
                default="draft",
                max_length=9,
            ),
        ),
        Rules(install, remove),
    ]
