from django.db import migrations, models
from django.db.models.functions import Cast

import catalog.outbox.models


def keep_the_present_ones(apps, schema_editor):
    """A row's Message-ID was made of its number: what may already have gone out keeps it."""
    apps.get_model("catalog", "Outbox").objects.update(
        message_key=Cast("pk", models.CharField(max_length=32))
    )


class Migration(migrations.Migration):

    dependencies = [
        ('catalog', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='outbox',
            name='message_key',
            field=models.CharField(editable=False, max_length=32, null=True),
        ),
        migrations.RunPython(keep_the_present_ones, migrations.RunPython.noop),
        migrations.AlterField(
            model_name='outbox',
            name='message_key',
            field=models.CharField(default=catalog.outbox.models.new_message_key, editable=False, help_text='the Message-ID of its mail is made of this: the same at every attempt, never given again', max_length=32, unique=True),
        ),
    ]
