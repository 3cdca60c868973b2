"""The kitchen's profile."""

from catalog.models import Kitchen


def kitchen() -> Kitchen:
    """Return the kitchen's profile, or an unsaved one with the defaults before it is set up."""
    return Kitchen.objects.select_related("delivery_role", "delivery_tax").filter(pk=1).first() or Kitchen(
        pk=1, name="Your kitchen", email=""
    )
