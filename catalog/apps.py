"""What the kitchen buys, makes, owns and charges."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """Ingredients, recipes, products, stations, rates, rules, taxes and the kitchen's profile."""

    name = "catalog"
    verbose_name = "catalog"
