"""What the kitchen buys and makes, of a checked Book, written over the catalog's rows (see ``books_write``)."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.book.rows import COOLING
from catalog.book.steps import PRODUCT_MINUTES, RECIPE_MINUTES, Entry, plain_steps
from catalog.book.writer import BATCH, Keys, create, upsert
from catalog.pantry.models import Ingredient, Pack, Part
from catalog.price_rules.models import PriceRule
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep, Step


def write_ingredients(document: Entry) -> Keys:
    """Write the ingredients; parts and packs follow once old lines are gone."""
    return upsert(
        Ingredient(
            code=item["code"],
            name=item["name"],
            base=item.get("base", "g"),
            density=item.get("density"),
            grams_each=item.get("grams_each"),
            yield_share=item.get("yield", "1"),
            charge=item.get("charge", "used"),
            allergens=item.get("allergens", []),
            source=item.get("source", ""),
            ndb=item.get("ndb", ""),
            composition=item.get("composition", {}),
            note=item.get("note", ""),
            active=item.get("active", True),
            position=i,
        )
        for i, item in enumerate(document.get("ingredients", ()))
    )


def write_parts(document: Entry, ingredients: Keys) -> dict[tuple[str, str], int]:
    """Write parts anew but for those that lines of kept recipes still need; return keys by ingredient and part."""
    wanted = {
        (item["code"], part["code"]) for item in document.get("ingredients", ()) for part in item.get("parts", ())
    }
    owners = Part.objects.filter(ingredient_id__in=ingredients.values())
    gone = [
        pk for pk, owner, code in owners.values_list("pk", "ingredient__code", "code") if (owner, code) not in wanted
    ]
    kept = set(RecipeLine.objects.filter(part_id__in=gone).values_list("part_id", flat=True))
    Part.objects.filter(pk__in=set(gone) - kept).delete()
    rows = [
        Part(
            ingredient_id=ingredients[item["code"]],
            code=part["code"],
            share=part["share"],
            density=part.get("density"),
            grams_each=part.get("grams_each"),
            joint=part.get("joint", ""),
            ndb=part.get("ndb", ""),
            position=i,
        )
        for item in document.get("ingredients", ())
        for i, part in enumerate(item.get("parts", ()))
    ]
    Part.objects.bulk_create(
        rows,
        update_conflicts=True,
        unique_fields=["ingredient", "code"],
        update_fields=["share", "density", "grams_each", "joint", "ndb", "position"],
        batch_size=BATCH,
    )
    return {(owner, code): pk for pk, owner, code in Part.objects.values_list("pk", "ingredient__code", "code")}


def write_packs(document: Entry, ingredients: Keys, suppliers: Keys) -> None:
    """Write packs and their dated prices."""
    create(
        Pack,
        (
            Pack(
                ingredient_id=ingredients[item["code"]],
                size=pack["size"],
                price=pack["price"],
                starts=date.fromisoformat(pack["from"]),
                ends=date.fromisoformat(pack["to"]) if "to" in pack else None,
                supplier_id=suppliers[pack["supplier"]] if pack.get("supplier") else None,
                preferred=pack.get("preferred", False),
                position=i,
            )
            for item in document.get("ingredients", ())
            for i, pack in enumerate(item.get("packs", ()))
        ),
    )


def write_recipes(document: Entry) -> Keys:
    """Write the recipes without their lines."""
    return upsert(
        Recipe(
            code=item["code"],
            name=item["name"],
            loss=item.get("loss", "0"),
            batch_limit=item.get("batch_limit", ""),
            batch_min=item.get("batch_min", ""),
            air=item.get("air", "0"),
            loss_of=item.get("loss_of", Recipe.LossOf.WATER),
            note=item.get("note", ""),
            active=item.get("active", True),
            position=i,
        )
        for i, item in enumerate(document.get("recipes", ()))
    )


def write_lines(document: Entry, recipes: Keys, ingredients: Keys, parts: Mapping[tuple[str, str], int]) -> None:
    """Write the recipes' lines."""
    create(
        RecipeLine,
        (
            RecipeLine(
                recipe_id=recipes[item["code"]],
                position=i,
                ingredient_id=ingredients[line["ingredient"]] if "ingredient" in line else None,
                part_id=parts[line["ingredient"], line["part"]] if "part" in line else None,
                component_id=recipes[line["recipe"]] if "recipe" in line else None,
                amount=line["amount"],
            )
            for item in document.get("recipes", ())
            for i, line in enumerate(item.get("lines", ()))
        ),
    )


def write_products(document: Entry, taxes: Keys, molds: Keys) -> Keys:
    """Write the products without fill, packaging and steps."""
    return upsert(
        Product(
            code=item["code"],
            name=item["name"],
            description=item.get("description", ""),
            category=item["category"],
            servings=item["servings"],
            sale_multiple=item.get("sale_multiple", 1),
            spare=item.get("spare", "0"),
            load=item.get("load"),
            mold_id=molds[item["mould"]] if "mould" in item else None,
            fill_height_cm=item.get("fill_height_cm"),
            keeps_hours=item.get("keeps_hours"),
            holding=item.get("holding", ""),
            **{key: item[key] for key in COOLING if key in item},
            list_price=item.get("list_price"),
            tax_id=taxes[item["tax"]],
            active=item.get("active", True),
            position=i,
        )
        for i, item in enumerate(document.get("products", ()))
    )


def write_fills(document: Entry, products: Keys, recipes: Keys, ingredients: Keys) -> None:
    """Write what goes into a unit of each product and around it."""
    items = [(products[item["code"]], item) for item in document.get("products", ())]
    create(
        Fill,
        (
            Fill(product_id=pk, recipe_id=recipes[fill["recipe"]], amount=fill["amount"], position=i)
            for pk, item in items
            for i, fill in enumerate(item.get("fill", ()))
        ),
    )
    create(
        Packaging,
        (
            Packaging(product_id=pk, ingredient_id=ingredients[pack["ingredient"]], amount=pack["amount"], position=i)
            for pk, item in items
            for i, pack in enumerate(item.get("packaging", ()))
        ),
    )


def write_steps(document: Entry, recipes: Keys, products: Keys, roles: Keys, stations: Keys) -> None:
    """Write the steps; where the Book has none, labor and station time stand as plain steps."""
    kinds = {code: station["kind"] for code, station in document["stations"].items()}
    create(
        RecipeStep,
        (
            RecipeStep(recipe_id=recipes[item["code"]], **values)
            for item in document.get("recipes", ())
            for values in _step_values(
                item.get("steps", plain_steps(item.get("labour", ()), RECIPE_MINUTES)), roles, stations
            )
        ),
    )
    create(
        ProductStep,
        (
            ProductStep(product_id=products[item["code"]], **values)
            for item in document.get("products", ())
            for values in _step_values(_product_steps(item, kinds), roles, stations)
        ),
    )


def _product_steps(item: Entry, kinds: Mapping[str, str]) -> Sequence[Entry]:
    plain = plain_steps(item.get("labour", ()), PRODUCT_MINUTES, item.get("station_time", ()), kinds)
    steps: Sequence[Entry] = item.get("steps", plain)
    return steps


def _step_values(steps: Sequence[Entry], roles: Keys, stations: Keys) -> Iterable[dict[str, Any]]:
    for i, step in enumerate(steps):
        values = {key: value for key, value in step.items() if key not in ("role", "station")}
        yield {
            "position": i,
            "kind": Step.Kind.WORK,
            "hands_fixed": Decimal(0),
            "hands_each": Decimal(0),
            "role_id": roles[step["role"]] if "role" in step else None,
            "station_id": stations[step["station"]] if "station" in step else None,
        } | values


def write_price_rules(document: Entry, products: Keys) -> None:
    """Write the price rules in their order."""
    PriceRule.objects.exclude(code__in=[rule["code"] for rule in document.get("price_rules", ())]).delete()
    upsert(
        PriceRule(
            code=rule["code"],
            name=rule.get("name", ""),
            margin=rule["margin"],
            product_id=products[rule["product"]] if "product" in rule else None,
            category=rule.get("category", ""),
            customer_kind=rule.get("customer_kind", ""),
            from_units=rule.get("from_units", 0),
            minimum=rule.get("minimum", "0"),
            position=i,
        )
        for i, rule in enumerate(document.get("price_rules", ()))
    )
