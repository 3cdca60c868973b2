"""Recipes for their list and page."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from django.core.paginator import Page, Paginator
from django.db.models import Count, Prefetch, Q, QuerySet

from catalog.products.models import Fill, Product
from catalog.recipes.cost_basis import cost_basis_load
from catalog.recipes.costs import RecipeCard, RecipeCosting
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.recipes.perishables import claim_to_confirm, names_a_source, stored_perishables
from catalog.records.reasons import Reason

#: Rows of one page of the list.
SHOWN: Final = 50


@dataclass(frozen=True, slots=True)
class User:
    """Something a recipe goes into."""

    pk: int
    name: str
    kind: str


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One recipe in the list."""

    recipe: Recipe
    card: RecipeCard
    users: tuple[User, ...]


@dataclass(frozen=True, slots=True)
class RecipeList:
    """A page of the list, its active and its archived recipes; the active ones come first."""

    page: Page[Recipe]
    used: list[RecipeRow]
    aside: list[RecipeRow]


#: Orders of the list of recipes.
SORTS: Final = {"name": ("name", "pk"), "latest": ("-pk",), "users": ("-users", "name", "pk")}


def recipe_list(*, day: date, search: str = "", sort: str = "name", page: str | None = None) -> RecipeList:
    """Return a page of the recipes, with figures and problems, in a fixed number of queries.

    ``sort`` is a key of `SORTS`: by name, the latest that was added first, or what goes into the most first.
    """
    users_of = Count("used_in", distinct=True) + Count("fills", distinct=True)
    found = (Recipe.objects.alias(users=users_of) if sort == "users" else Recipe.objects.all()).order_by(
        "-active", *SORTS.get(sort, SORTS["name"])
    )
    if search:
        found = found.filter(Q(name__icontains=search) | Q(note__icontains=search))
    shown = Paginator(found, SHOWN).get_page(page)
    recipes = list(shown)
    # Loaded after the rows: whoever added a recipe changed the Book with it. One deleted meanwhile is left out.
    costs = RecipeCosting(cost_basis_load(day=day))
    users = recipe_users([row.pk for row in recipes])
    rows = [RecipeRow(row, costs.card(row.code), tuple(users[row.pk])) for row in recipes if row.code in costs.recipes]
    used = [row for row in rows if row.recipe.active]
    return RecipeList(shown, used, [row for row in rows if not row.recipe.active])


def recipe_users(recipes: Collection[int]) -> dict[int, list[User]]:
    """Return what some recipes go into: other recipes, then products."""
    users: dict[int, list[User]] = defaultdict(list)
    lines = RecipeLine.objects.filter(component__in=recipes).order_by("recipe__name")
    for used, pk, name in lines.values_list("component_id", "recipe_id", "recipe__name").distinct():
        users[used or 0].append(User(pk, name, "recipe"))
    fills = Fill.objects.filter(recipe__in=recipes).order_by("product__name")
    for used, pk, name in fills.values_list("recipe_id", "product_id", "product__name").distinct():
        users[used].append(User(pk, name, "product"))
    return users


def recipe_user_names(recipe: Recipe) -> list[str]:
    """Return the names of what still uses a recipe."""
    recipes = Recipe.objects.filter(lines__component=recipe).distinct().values_list("name", flat=True)
    products = Product.objects.filter(fills__recipe=recipe).distinct().values_list("name", flat=True)
    return [*recipes, *products]


def recipes_whole() -> QuerySet[Recipe]:
    """Return recipes with lines and steps prefetched."""
    lines = RecipeLine.objects.select_related("ingredient", "part", "component")
    steps = RecipeStep.objects.select_related("role", "station", "vessel")
    return Recipe.objects.prefetch_related(Prefetch("lines", queryset=lines), Prefetch("steps", queryset=steps))


@dataclass(frozen=True, slots=True)
class PageLine:
    """A line on the recipe's page: the saved line, its figures, and its link."""

    line: RecipeLine
    label: str
    grams: Fraction | None
    as_purchased: Fraction | None
    cost: Fraction | None
    price_kg: Fraction | None
    problem: Reason | None
    stops: bool


@dataclass(frozen=True, slots=True)
class RecipePage:
    """A recipe's page.

    ``unsourced`` is what asks for the cold in it where it is ticked as safe at room temperature without a source.
    """

    recipe: Recipe
    card: RecipeCard
    lines: tuple[PageLine, ...]
    users: tuple[User, ...]
    unsourced: tuple[str, ...] = ()
    #: Whether a source is on record and does not count: what is made was changed since, or the tick was taken out.
    to_confirm: bool = False


def recipe_page(*, recipe: Recipe, day: date) -> RecipePage:
    """Return a recipe's page; the recipe comes from :func:`recipes_whole`."""
    card = RecipeCosting(cost_basis_load(day=day)).card(recipe.code)
    lines = tuple(
        PageLine(
            line=line,
            label=figures.label or str(line.ingredient or line.component),
            grams=figures.grams,
            as_purchased=figures.as_purchased,
            cost=figures.cost,
            price_kg=figures.price_kg,
            problem=figures.problem or figures.gap,
            stops=figures.problem is not None,
        )
        for line, figures in zip(recipe.lines.all(), card.lines, strict=True)
    )
    open_tick = recipe.shelf_stable and not names_a_source(recipe.shelf_stable_source)
    unsourced = stored_perishables(recipe.pk, recipe.name) if open_tick else ()
    return RecipePage(
        recipe,
        card,
        lines,
        tuple(recipe_users([recipe.pk])[recipe.pk]),
        unsourced,
        claim_to_confirm(recipe.shelf_stable, recipe.shelf_stable_source),
    )
