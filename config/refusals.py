"""The HTTP status of each refusal: one table, looked up along the class's bases."""

from http import HTTPStatus
from typing import Final

from catalog.records import errors as catalog_errors
from catalog.records import presenters as catalog_presenters
from config.accounts import errors as account_errors
from config.accounts import presenters as account_presenters
from costing.contract import InputErrors
from orders.records import errors as order_errors
from orders.records import presenters as order_presenters

Refusal = account_errors.AccountError | catalog_errors.CatalogError | order_errors.OrderError | InputErrors

STATUS: Final[dict[type[Exception], HTTPStatus]] = {
    catalog_errors.CatalogError: HTTPStatus.UNPROCESSABLE_ENTITY,
    catalog_errors.ChangedMeanwhile: HTTPStatus.CONFLICT,
    catalog_errors.InUse: HTTPStatus.CONFLICT,
    catalog_errors.TooManyTries: HTTPStatus.TOO_MANY_REQUESTS,
    order_errors.OrderError: HTTPStatus.UNPROCESSABLE_ENTITY,
    order_errors.ChangedMeanwhile: HTTPStatus.CONFLICT,
    order_errors.TransitionNotAllowed: HTTPStatus.CONFLICT,
    account_errors.AccountError: HTTPStatus.UNPROCESSABLE_ENTITY,
    InputErrors: HTTPStatus.UNPROCESSABLE_ENTITY,
}


def status_of(error: type[Exception]) -> HTTPStatus | None:
    """Return the status of a refusal; None for any other error."""
    return next((STATUS[base] for base in error.__mro__ if base in STATUS), None)


def sentences(error: Exception) -> list[str]:
    """Return the sentences of a refusal."""
    if isinstance(error, InputErrors):
        return [one.message for one in error.errors]
    if isinstance(error, account_errors.AccountError | catalog_errors.TooManyTries):
        return [account_presenters.account_sentence(error)]
    if isinstance(error, catalog_errors.CatalogError):
        return [catalog_presenters.sentence(error)]
    if isinstance(error, order_errors.OrderError):
        return [order_presenters.sentence(error)]
    return [str(error)]
