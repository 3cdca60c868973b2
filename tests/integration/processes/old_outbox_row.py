"""Writes a row of the outbox as it was before rows had keys for their mails."""

import django
from django.db import connection

django.setup()

AT = "2027-02-06 12:00:00+00:00"

if __name__ == "__main__":
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO catalog_outbox (id, kind, payload, about, summary, status, attempts, error, created_at,"
            " run_after) VALUES (41, 'mail', '{}', '', '', 'waiting', 0, '{}', %s, %s)",
            [AT, AT],
        )
