"""An order's hours may follow a corrected time zone of the kitchen."""

from django.db import migrations

from orders.records.immutable_rows import Rules, install


class Migration(migrations.Migration):
    """Makes the triggers anew, by the rules beside the tables."""

    dependencies = [("orders", "0014_batches_of_several_orders")]

    operations = [Rules(install, install)]
