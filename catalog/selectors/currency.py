"""Whether the kitchen's currency can still be changed."""

from django.apps import apps


def currency_locked() -> bool:
    """Tell whether a document has been written in the kitchen's currency: then it stays.

    The catalogue knows no documents; they are the rows of other apps that carry a currency.
    """
    carriers = (
        model
        for model in apps.get_models()
        if model._meta.app_label != "catalog" and any(field.name == "currency" for field in model._meta.concrete_fields)
    )
    return any(model._default_manager.exists() for model in carriers)
