"""A quote may offer several windows; the approval says which one was chosen."""

from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    """Adds the window that was chosen; the triggers are aside meanwhile."""

    dependencies = [("orders", "0022_reminders")]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="quote",
            name="window_chosen",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="approval",
            name="window_start",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="approval",
            name="window_end",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="windowcheck",
            name="window_chosen",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        Rules(install, remove),
    ]
