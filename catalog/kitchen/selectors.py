"""The kitchen's profile, its time zone and day, and whether its currency can still be changed."""

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.apps import apps
from django.db import DEFAULT_DB_ALIAS

from catalog.book.rows import Rows
from catalog.kitchen.models import UNNAMED, Kitchen, Vehicle
from costing.contract import Book


def currency_locked() -> bool:
    """Return whether a document exists in the kitchen's currency, so that the currency can no longer change.

    The catalog cannot import document models; documents are rows of other apps that have a currency column.
    """
    carriers = (
        model
        for model in apps.get_models()
        if model._meta.app_label != "catalog" and any(field.name == "currency" for field in model._meta.concrete_fields)
    )
    return any(model._default_manager.exists() for model in carriers)


def kitchen() -> Kitchen:
    """Return the kitchen's profile, or an unsaved one with the defaults before it is set up."""
    columns = [field.attname for field in Kitchen._meta.concrete_fields]
    # It is asked for often; there is one row at most.
    stored = next(iter(Rows(Kitchen, *columns)), None)
    if stored is None:
        return Kitchen(pk=1, name=UNNAMED, email="")
    return Kitchen.from_db(DEFAULT_DB_ALIAS, columns, stored)


def vehicles_listed() -> bool:
    """Return whether vehicles are entered, so that each says whether it is refrigerated."""
    return Vehicle.objects.exists()


def kitchen_zone() -> ZoneInfo:
    """Return the kitchen's time zone."""
    return ZoneInfo(next((zone for (zone,) in Rows(Kitchen, "time_zone")), "") or Kitchen().time_zone)


def local_day(moment: datetime, zone: ZoneInfo | None = None) -> date:
    """Return the date of a moment where the kitchen is."""
    return moment.astimezone(zone or kitchen_zone()).date()


def without_dates(book: Book) -> Book:
    """Return a Book as if no date differed from its weekday."""
    return replace(book, closed=None, days=None)
