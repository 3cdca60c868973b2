"""What a change of prices means elsewhere, said on the page where the price was changed."""

from django import template
from django.conf import settings
from django.utils.module_loading import import_string
from django.utils.safestring import SafeString

from catalog.pantry.price_changes import PriceChange

register = template.Library()


@register.simple_tag
def price_change_note(change: PriceChange | None = None) -> SafeString:
    """Show the note that ``settings.PRICE_CHANGE_NOTE`` names: the apps above the catalog write it."""
    note: SafeString = import_string(settings.PRICE_CHANGE_NOTE)(change)
    return note
