"""Document numbers: unique and gapless in their series, given in the issuing transaction."""

from django.db import transaction
from django.db.models import F

from orders.records.models import NumberSeries

#: code -> what stands before the number
SERIES = {"quote": "Q-", "order": "O-", "invoice": "I-", "credit": "C-"}


def number_next(code: str) -> str:
    """Give the next number of a series.

    Call it inside the transaction that issues the document: the update locks the series' row until commit, and a
    rollback gives the number back.

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
