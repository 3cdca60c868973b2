"""How far the reading of a price list is."""

from catalog.outbox.models import Outbox
from catalog.price_lists.models import PriceList


def work_about(price_list: int) -> str:
    """Return what the outbox says the work on a price list is about."""
    return f"pricelist:{price_list}"


def reading_given_up(price_list: PriceList) -> Outbox | None:
    """Return the work on a list that waits to be read, if it was given up until somebody tries again."""
    if price_list.status != PriceList.Status.WAITING:
        return None
    work = Outbox.objects.filter(kind="price_list", about=work_about(price_list.pk)).order_by("-pk").first()
    return work if work is not None and work.status == Outbox.Status.FAILED else None
