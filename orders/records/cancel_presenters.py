"""Sentences of refusals to cancel an order by the table of its terms."""

from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.records.presenters import Sentences

CANCEL_SENTENCES: Final[Sentences] = {
    "retains_too_much": marked("The terms allow at most {most:money} today. Enter that or less."),
    "less_without_reason": marked("Enter why you charge less than the {most:money} that the terms say."),
    "nothing_to_request": marked(
        "No payment of order {order} before its invoice is open. What is left is asked for by the invoice."
    ),
    "credit_gone": marked(
        "At most {most:money} of order {order} can be used for order {other}: that is what is left of the credit, or "
        "all that is not paid there. Enter that or less."
    ),
    "charge_tax_missing": marked(
        "Choose the tax category of the cancellation charge. Whether it is taxed is for a licensed accountant to say."
    ),
    "charge_tax_no_rate": marked("{tax} has no tax rate today. Add one under Taxes, or choose another category."),
    "canceling_changed": marked(
        "The terms that apply or the payments of order {order} changed since this page was opened. Check them below, "
        "then cancel again."
    ),
    "no_cancellation_table": marked(
        "The terms of order {order} are not those that this page showed. Open it again and repeat your entries."
    ),
}
