"""A draft says which of its dates are the kitchen's usual ones; what was stored before are dates of its own."""

from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds a column; the triggers are aside meanwhile, and then know it."""

    dependencies = [("orders", "0018_extra_diets")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="quote", name="final_count_usual", field=models.BooleanField(default=False), preserve_default=False
        ),
        migrations.AlterField(
            model_name="quote", name="final_count_usual", field=models.BooleanField(default=True)
        ),
        Rules(install, remove),
    ]
