"""Document numbers: unique and gapless in their series, assigned in the issuing transaction."""

from django.db import transaction
from django.db.models import F

from orders.records.models import NumberSeries

#: code -> prefix of the number
SERIES = {"quote": "Q-", "order": "O-", "invoice": "I-", "credit": "C-", "request": "PR-", "receipt": "RC-"}


def number_next(code: str) -> str:
    """Assign the next number of a series.

    Call it inside the transaction that issues the document: the update locks the series' row until commit, and a
    rollback releases the number.

    Raises
    ------
    TransactionManagementError
        If called outside a transaction.
    KeyError
        If the series is unknown.
    """
    if not transaction.get_connection().in_atomic_block:
        raise transaction.TransactionManagementError(f"number_next({code!r}): no_transaction")
    if not NumberSeries.objects.filter(pk=code).update(last=F("last") + 1):
        NumberSeries.objects.get_or_create(pk=code, defaults={"prefix": SERIES[code]})
        NumberSeries.objects.filter(pk=code).update(last=F("last") + 1)
    series = NumberSeries.objects.get(pk=code)
    return f"{series.prefix}{series.last:05d}"
