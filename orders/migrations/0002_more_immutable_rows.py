from django.db import migrations

from orders.records.immutable_rows import Rules, install


class Migration(migrations.Migration):
    """The rules of orders, order lines, numbers, messages and private links, and of every status."""

    dependencies = [
        ("orders", "0001_initial"),
    ]

    operations = [
        Rules(install, install),
    ]
