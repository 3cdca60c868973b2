"""Quotes that came to nothing can be erased with their files, and when a link was opened."""

from django.db import migrations

from orders.records.immutable_rows import Rules, install


class Migration(migrations.Migration):
    """The rules of quotes, private links and issued files."""

    dependencies = [
        ("orders", "0004_prepared_files"),
    ]

    operations = [
        Rules(install, install),
    ]
