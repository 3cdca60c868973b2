"""An order's hours may follow a corrected time zone of the kitchen."""

from django.db import migrations

from orders.records.immutable_rows import install


class Migration(migrations.Migration):
    """Makes the triggers anew, by the rules beside the tables."""

    dependencies = [("orders", "0013_words_of_cooling_records")]

    operations = [migrations.RunPython(install, install)]
