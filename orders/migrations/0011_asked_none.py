from django.db import migrations, models

from orders.records.immutable_rows import Rules, install, remove


class Migration(migrations.Migration):
    dependencies = [
        ("orders", "0010_labels_in_plain_words"),
    ]

    operations = [
        Rules(remove, install),
        migrations.AddField(
            model_name="inquiry",
            name="asked_none_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="inquiry",
            name="asked_none_by",
            field=models.CharField(blank=True, max_length=150),
        ),
        Rules(install, remove),
    ]
