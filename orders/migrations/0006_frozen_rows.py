"""What was sent, issued or written down as evidence cannot change: the database refuses it."""

from django.db import migrations

from orders.frozen import install, remove


class Migration(migrations.Migration):
    dependencies = [("orders", "0005_draft_may_be_given_up")]

    operations = [migrations.RunPython(install, remove)]
