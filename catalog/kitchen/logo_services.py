"""The kitchen's logo: shown, replaced, removed, put back."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from catalog.kitchen.models import Kitchen, KitchenLogo
from catalog.pictures.services import NewPicture, picture_put_back, picture_removed, picture_shown, use_version
from catalog.records.versions import existing_unchanged, version_mark


def logo_of(kitchen: Kitchen) -> KitchenLogo:
    """Return the kitchen's row of its logo, or one that is not saved yet."""
    found = KitchenLogo.objects.select_related("picture", "former").filter(kitchen=kitchen).first()
    return found or KitchenLogo(kitchen=kitchen)


def logo_version(kitchen: Kitchen) -> str:
    """Return the version of the logo as stored."""
    use = logo_of(kitchen)
    return version_mark([*use_version(use), use.has_name])


@transaction.atomic(durable=True)
def logo_save(*, new: NewPicture, has_name: bool, version: str, by: str, at: datetime) -> Kitchen:
    """Show another logo or describe it in other words; ``has_name`` when the kitchen's name can be read in it.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When the kitchen is not set up.
    """

    def change(use: KitchenLogo) -> None:
        picture_shown(use, new, by=by, at=at)
        use.has_name = has_name

    return _changed(version, change)


@transaction.atomic(durable=True)
def logo_remove(*, version: str) -> Kitchen:
    """Remove the logo; it can be put back. Refusals as above."""
    return _changed(version, picture_removed)


@transaction.atomic(durable=True)
def logo_put_back(*, version: str) -> Kitchen:
    """Show the logo from before again. Refusals as above."""
    return _changed(version, picture_put_back)


def _changed(version: str, change: Callable[[KitchenLogo], None]) -> Kitchen:
    kitchen = existing_unchanged(Kitchen, 1, version, logo_version)
    use = logo_of(kitchen)
    change(use)
    use.save()
    return kitchen
