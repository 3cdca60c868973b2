"""An extra that is food is asked for alcohol, gelatin and the other things that some guests do not eat."""

from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds the answers, empty: nobody was asked before; the triggers are aside meanwhile."""

    dependencies = [("orders", "0017_partly_paid")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="quoteextra",
            name="diet_answers",
            field=models.JSONField(blank=True, default=dict, help_text="asked besides allergens: contains or free"),
        ),
        Rules(install, remove),
    ]
