"""The kinds of record that a spreadsheet can hold, by the settings: packages above this one have some."""

from functools import cache

from django.conf import settings
from django.utils.module_loading import import_string

from catalog.spreadsheets.plan import Kind


@cache
def kind_of(holds: str) -> Kind:
    """Return how one kind of record is read, written and exported."""
    kind: Kind = import_string(settings.SPREADSHEET_KINDS[holds])
    return kind
