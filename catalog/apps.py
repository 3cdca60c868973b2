"""The catalog: what the kitchen buys, makes, owns and charges."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """Ingredients, recipes, products, stations, rates, rules, taxes and the kitchen's profile."""

    name = "catalog"
    verbose_name = "catalog"

    def ready(self) -> None:
        """Register the packages' sections of the Book, each after those it depends on, and how sentences write days."""
        # Imported here because their modules need the loaded models.
        from catalog.book.sections import register
        from catalog.cooling.part_heat import check_leaves
        from catalog.kitchen import book as kitchen
        from catalog.molds import book as molds
        from catalog.pantry import book as pantry
        from catalog.price_rules import book as price_rules
        from catalog.products import book as products
        from catalog.products.services import SAVE_CHECKS
        from catalog.rates import book as rates
        from catalog.recipes import book as recipes
        from catalog.recipes.source_presenters import lacks_words
        from catalog.records.presenters import WRITERS
        from catalog.taxes import book as taxes
        from catalog.vessels import book as vessels
        from catalog.web import display

        order = (kitchen, taxes, rates, molds, vessels, pantry, recipes, products, price_rules)
        register(package.SECTION for package in order)
        WRITERS.update(day_alone=display.day_alone, warm=display.temperature, joined=display.joined)
        WRITERS.update(source_lacks=lacks_words)
        SAVE_CHECKS.append(check_leaves)
