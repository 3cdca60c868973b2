"""What importing products would do: new ones, and changed figures, recipes and packaging of those that are sold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from catalog.kitchen.selectors import kitchen
from catalog.price_lists.comparison import unweighable
from catalog.price_lists.names import Subject
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.records.numbers import MOST_PRICE, number_format
from catalog.records.reasons import Reason
from catalog.spreadsheets.columns import Column, Line
from catalog.spreadsheets.known import PACKAGING, RECIPE, Good, Pantry, folded, labelled
from catalog.spreadsheets.plan import Answers, Item, Plan
from catalog.spreadsheets.recipe_plan import one_text
from catalog.spreadsheets.values import Cells, changes, first_values
from catalog.taxes.models import TaxCategory
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure

COLUMNS: Final = (
    Column("product", ("product", "product_name", "dessert", "item", "name"), needed=True),
    Column("category", ("category", "group", "type")),
    Column("servings", ("servings", "serves", "portions")),
    Column("sale_multiple", ("sold_in_multiples", "multiple", "multiples", "sold_in")),
    Column("list_price", ("list_price", "price", "sale_price", "selling_price")),
    Column("tax", ("tax_category", "tax")),
    Column("description", ("description", "text")),
    Column(
        "goes_in",
        (
            "recipe_or_packaging",
            "recipe",
            "component",
            "fill",
            "packaging",
            "made",
            "made_from",
            "consists",
            "contents",
        ),
    ),
    Column("amount", ("amount", "qty", "quantity", "weight", "amount_unit", "how_much", "per_unit")),
)
FIGURES: Final = ("category", "servings", "sale_multiple", "list_price", "tax_id", "description")
#: Words for how many are sold together (common practice, no source).
_SOLD: Final = {
    **dict.fromkeys(("each", "ea", "piece", "pieces", "unit", "whole", "slice", "cake", "single"), 1),
    **dict.fromkeys(("half_dozen", "half_a_dozen", "½_dozen", "1/2_dozen"), 6),
    **dict.fromkeys(("dozen", "doz", "dz", "dozens", "by_the_dozen", "a_dozen"), 12),
}


@dataclass(slots=True)
class ProductContent:
    """What is written of a product: its columns, (recipe, mass) of its fills, (ingredient, amount) of its packaging."""

    name: str
    stored: Product | None = None
    columns: dict[str, Any] = field(default_factory=dict)
    fills: list[tuple[int, str]] = field(default_factory=list)
    packaging: list[tuple[int, str]] = field(default_factory=list)
    #: Whether fills and packaging are written.
    rows: bool = True


def products_plan(lines: Sequence[Line], answers: Answers, lock: bool) -> Plan:
    """Return what importing rows of products would do; with ``lock`` all products are locked first."""
    if lock:
        list(Product.objects.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    return _Planner(lines, answers).plan


def taxes_named() -> dict[str, int]:
    """Return tax categories by name and code in lower case."""
    rows = list(TaxCategory.objects.order_by("pk"))
    return {row.code.casefold(): row.pk for row in rows} | {folded(str(row)): row.pk for row in reversed(rows)}


class _Planner:
    def __init__(self, lines: Sequence[Line], answers: Answers) -> None:
        #: The category of all new products of the file that have none.
        self.category = answers.get("category", "").removeprefix("is:").strip()
        self.plan, self.written = Plan(), number_format(kitchen().locale)
        self.stored = labelled(list(Product.objects.prefetch_related("fills", "packaging")))
        self.recipes, self.pantry, self.taxes = labelled(Recipe.objects.all()), Pantry(), taxes_named()
        self.tax_names = [str(row) for row in TaxCategory.objects.order_by("pk")]
        groups: dict[str, tuple[str, list[Line]]] = {}
        for line in lines:
            name = " ".join(line["cells"].get("product", "").split())
            groups.setdefault(folded(name), (name, []))[1].append(line)
        for key, (name, rows) in groups.items():
            self.plan.items.append(self._item(name, rows, self.stored.get(key)))

    def _item(self, name: str, lines: list[Line], stored: Product | None) -> Item:
        content, rows = ProductContent(name, stored), [line["row"] for line in lines]
        item = Item(stored.name if stored else name or str(rows[0]), rows, content=content)
        if not name:
            self.plan.problem(rows[0], "product", "no_name")
        elif len(name) > 500:
            self.plan.problem(rows[0], "product", "too_long", most=500)
        figures = first_values([self._read(line) for line in lines], FIGURES)
        for line in lines:
            self._goes_in(content, line)
        if stored is None:
            self._check_new(rows[0], figures)
            content.columns = {key: value for key, value in figures.items() if value is not None}
            if not content.fills and not content.packaging:
                item.details = [Reason("nothing_in_it")]
        else:
            _compare(item, content, stored, figures)
        if self.plan.open_rows_of(rows):
            item.change, item.details = "waits", []
        return item

    def _check_new(self, row: int, figures: dict[str, Any]) -> None:
        if figures["category"] is None and self.category:
            figures["category"] = self.category
        elif figures["category"] is None:
            self.plan.ask("file_category", "category", row)
            self.plan.problem(row, "category", "no_category")
        if figures["tax_id"] is None and len(set(self.taxes.values())) == 1:
            figures["tax_id"] = next(iter(self.taxes.values()))
        elif figures["tax_id"] is None:
            self._no_tax(row)

    def _no_tax(self, row: int) -> None:
        if self.tax_names:
            self.plan.problem(row, "tax", "no_tax", names=self.tax_names)
        else:
            self.plan.problem(row, "tax", "no_taxes")

    def _read(self, line: Line) -> dict[str, Any]:
        cells, text = Cells(self.plan, line, written=self.written), line["cells"].get("tax", "")
        tax = self.taxes.get(folded(text)) if text else None
        if text and tax is None:
            self._no_tax(line["row"])
        description = cells.text("description")
        return {
            "category": cells.text("category", most=200),
            "servings": cells.whole("servings", most=10_000),
            "sale_multiple": _multiple(line) or cells.whole("sale_multiple", most=10_000),
            "list_price": self._price(line),
            "tax_id": tax,
            "description": one_text(description) if description else None,
        }

    def _price(self, line: Line) -> Decimal | None:
        price = Cells(self.plan, line, written=self.written).figure("list_price", "not_a_number")
        if price is not None and not 0 <= price <= MOST_PRICE:
            self.plan.problem(line["row"], "list_price", "negative" if price < 0 else "too_dear")
        return price

    def _goes_in(self, content: ProductContent, line: Line) -> None:
        name, text = line["cells"].get("goes_in", ""), line["cells"].get("amount", "")
        if not name and not text:
            return
        recipe, good = self._named(name)
        if good is not None and good.subject.pk and (recipe is None or good.subject.base == "each"):
            if amount := self._packed(line["row"], text, good.subject):
                content.packaging.append((good.subject.pk, amount))
        elif recipe is None:
            self.plan.problem(line["row"], "goes_in", "goes_in_unknown", name=name[:80])
        elif amount := self._filled(line["row"], text, name):
            content.fills.append((recipe.pk, amount))

    def _named(self, name: str) -> tuple[Recipe | None, Good | None]:
        """Return the recipe and the whole ingredient of a name; what follows it says which where both have it."""
        words = folded(name)
        recipe = None if words.endswith(PACKAGING) else self.recipes.get(words.removesuffix(RECIPE))
        good = None if words.endswith(RECIPE) else self.pantry.labels.get(words.removesuffix(PACKAGING))
        return recipe, good if good is not None and good.part is None else None

    def _packed(self, row: int, text: str, subject: Subject) -> str:
        """Return the amount of packaging, as the product's form takes it: a number without a unit is a count."""
        bare = subject.base == "each" and not any(character.isalpha() for character in text)
        amount = self._measure(row, " ".join((text.strip(), "each")) if bare and text.strip() else text)
        wrong = list(unweighable(subject, parse_measure(amount).kind)) if amount else []
        for reason in wrong:
            code = "goes_in_counted" if reason.code == "counted_only" else reason.code
            self.plan.problem(row, "amount", code, name=subject.name[:80])
        return "" if wrong else amount

    def _filled(self, row: int, text: str, name: str) -> str:
        amount = self._measure(row, text)
        if amount and parse_measure(amount).kind != "mass":
            self.plan.problem(row, "amount", "goes_in_weighed", name=name[:80], text=text)
            return ""
        return amount

    def _measure(self, row: int, text: str) -> str:
        try:
            return normalise_measure(text, self.written)
        except MeasureError as error:
            self.plan.problem(row, "amount", "measure", text=error.on_screen())
            return ""


def _multiple(line: Line) -> int | None:
    """Return how many are sold together where a word says it: each, dozen."""
    return _SOLD.get(folded(line["cells"].get("sale_multiple", "")).removesuffix(".").replace(" ", "_"))


def _compare(item: Item, content: ProductContent, stored: Product, figures: Mapping[str, Any]) -> None:
    content.columns = changes(figures, stored)
    fills = [(fill.recipe_id, fill.amount) for fill in stored.fills.all()]
    packaging = [(row.ingredient_id, row.amount) for row in stored.packaging.all()]
    written = [*content.fills, *content.packaging]
    content.rows = bool(written) and list(map(_measured, written)) != list(map(_measured, [*fills, *packaging]))
    item.details = [Reason("column", {"column": "tax" if key == "tax_id" else key}) for key in content.columns]
    if content.rows:
        item.details.append(Reason("column", {"column": "goes_in"}))
    item.change = "change" if item.details else "same"


def _measured(row: tuple[int, str]) -> tuple[Any, ...]:
    measure = parse_measure(row[1])
    return row[0], measure.amount, measure.unit
