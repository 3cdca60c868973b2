from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    dependencies = [
        ("orders", "0020_plan"),
    ]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="coolingrecord",
            name="steps_mark",
            field=models.CharField(
                blank=True, default="", help_text="by which steps and verdict it was measured", max_length=64
            ),
            preserve_default=False,
        ),
        Rules(install, remove),
    ]
