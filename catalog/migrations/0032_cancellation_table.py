"""Cancellation terms as a table, and the tax of what is kept."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds columns; an empty table says that nothing but words is agreed, as before."""

    dependencies = [("catalog", "0029_usual_desserts")]

    operations = [
        migrations.AddField(
            model_name="kitchen",
            name="cancellation_table",
            field=models.JSONField(
                blank=True,
                default=list,
                help_text="what is kept by days before the event (catalog/kitchen/cancellation.py)",
            ),
        ),
        migrations.AddField(
            model_name="kitchen",
            name="cancellation_tax",
            field=models.ForeignKey(
                blank=True,
                help_text="of what is kept of a canceled order; empty: asked each time",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="catalog.taxcategory",
            ),
        ),
    ]
