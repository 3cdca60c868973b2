"""The form of a draft's table: lines, extras, discount, rush, guests."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.choices import BaseChoiceIterator
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from djmoney.money import Money

from catalog.products.models import Product
from catalog.records.numbers import number_read
from catalog.taxes.models import TaxCategory
from catalog.web import display
from catalog.web.fields import NumberField, PercentField, WholeField
from catalog.web.inputs import input_problems
from catalog.web.money_fields import MoneyField
from catalog.web.numbers import written_here
from costing.measures.figures import TwoReadings
from orders.quotes.draft.dessert_table import DessertTable, TableLine
from orders.quotes.draft.extra_forms import (
    MOST_ROWS,
    ExtraFormSet,
    charged_in,
    extra_shown,
    minor_units_or_none,
)
from orders.quotes.selectors import code_named
from orders.records.money import from_minor

#: Empty rows at the end of a list.
SPARE_ROWS = 2
#: More products than these are offered by one list for all rows.
MOST_IN_EACH_ROW = 100
#: The id of that list.
OFFERED_ID = "products-offered"


class Offered(BaseChoiceIterator):
    """The products a row may name, listed once for all rows of a table.

    Where there are many, a row has a field to type into and the page one list for all rows: a list in each row would
    weigh megabytes.
    """

    def __init__(self, products: Sequence[Product]) -> None:
        self.by_key = {str(product.pk): product for product in products}
        self.as_text = len(products) > MOST_IN_EACH_ROW
        known = Counter(str(product).casefold() for product in products)
        self.texts = {
            key: str(product) if known[str(product).casefold()] == 1 else f"{product} ({product.code})"
            for key, product in self.by_key.items()
        }
        self._keys = {text.casefold(): key for key, text in self.texts.items()}
        self._codes = {product.code: key for key, product in self.by_key.items()}

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return iter([("", gettext("Choose a product")), *self.texts.items()])

    def key_of(self, text: str) -> str:
        """Return the key of the product that a text names: its key, its name, its code; empty when none does."""
        text = text.strip()
        if not self.as_text and text in self.by_key:
            return text
        found = self._keys.get(text.casefold()) or self._codes.get(code_named(text), "")
        return found or (text if text in self.by_key else "")


class _OfferedField(forms.ChoiceField):
    choices: Any  # LineForm sets an Offered

    def to_python(self, value: Any) -> str:
        text = super().to_python(value)
        return str(self.choices.key_of(text) or text)

    def prepare_value(self, value: Any) -> Any:
        return self.choices.texts.get(str(value), value) if self.choices.as_text else value

    def validate(self, value: Any) -> None:
        if value and not value.isdigit() and not self.valid_value(value):
            unknown = gettext("No product for sale is called “%(name)s”. Choose one from the list.")
            raise ValidationError(unknown % {"name": value}, code="unknown")
        super().validate(value)

    def valid_value(self, value: Any) -> bool:
        return str(value) in self.choices.by_key


class LineForm(forms.Form):
    """One product on the table."""

    product = _OfferedField(
        label=_("Product"),
        required=False,
        error_messages={"invalid_choice": _("This product is no longer for sale. Choose another.")},
    )
    share = PercentField(what=_("the share"), label=_("Share of pieces, %"), required=False, most=100, example="40")
    units = WholeField(
        what=_("the quantity"), label=_("Quantity"), required=False, least=0, most=1_000_000, example="96"
    )
    unit_price = MoneyField(what=_("the price override"), label=_("Price override, each"), required=False)

    def __init__(self, *args: Any, offered: Offered, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered, self.products = offered, offered.by_key
        if offered.as_text:
            self.fields["product"].widget = forms.TextInput(attrs={"list": OFFERED_ID, "autocomplete": "off"})
        self.fields["product"].choices = offered  # type: ignore[attr-defined]  # a choice field
        charged_in(currency, self.fields["unit_price"])

    @property
    def chosen(self) -> Product | None:
        """The product of the row, saved or just entered."""
        return self.products.get(self.offered.key_of(str(self["product"].value() or "")))

    def clean(self) -> dict[str, Any]:
        """Require a product in a row that is not empty, and a number where a product was chosen."""
        values = super().clean() or self.cleaned_data
        if values.get("DELETE"):
            self.errors.clear()
            return values
        written = any(values.get(name) is not None for name in ("share", "units", "unit_price"))
        if written and not values.get("product") and "product" not in self.errors:
            self.add_error("product", gettext("Choose the product of this row, or check “Remove”."))
        self._count(values)
        return values

    def _count(self, values: dict[str, Any]) -> None:
        product, units = self.products.get(values.get("product") or ""), values.get("units")
        if product is None or "units" in self.errors:
            return
        if units is None and values.get("share") is None:
            self.add_error("units", gettext("Enter the quantity of %(product)s.") % {"product": product})
        elif units and units % product.sale_multiple:
            self.add_error("units", sold_in(product, units))

    @property
    def rounded_to(self) -> int:
        """In which multiple the quantity of a row with a share is sold; 0 where any number is."""
        multiple = self.chosen.sale_multiple if self.chosen is not None and self["share"].value() else 1
        return multiple if multiple > 1 else 0

    @property
    def nearest(self) -> tuple[int, ...]:
        """The nearest quantities in which the product is sold, where the one entered is none of them."""
        units = (self["units"].data or "").strip() if self.is_bound else ""
        number = _figure(units)
        if "units" not in self.errors or self.chosen is None or number is None or number < 1 or number % 1:
            return ()
        return near_multiples(self.chosen, int(number))

    def line(self) -> TableLine | None:
        """Return the row as a line, or None when it is empty."""
        values = getattr(self, "cleaned_data", {})
        product = self.products.get(values.get("product") or "")
        if product is None or values.get("DELETE") or self.errors or not (values.get("units") or values.get("share")):
            return None
        return TableLine(
            product_id=product.pk,
            code=product.code,
            units=values.get("units") or 0,
            unit_price_minor=minor_units_or_none(values.get("unit_price")),
            share=values.get("share"),
        )

    def removed(self) -> TableLine | None:
        """Return the product of a row that is marked to be removed, with the units and price entered; None without."""
        values = getattr(self, "cleaned_data", {})
        if not values.get("DELETE") or (product := self.chosen) is None:
            return None
        price, share = minor_units_or_none(values.get("unit_price")), values.get("share")
        return TableLine(product.pk, product.code, values.get("units") or 0, price, share)


class WholeTableForm(forms.Form):
    """The fields of the table as a whole."""

    guests = WholeField(what=_("the number of guests"), label=_("Guests"), required=False, least=1, most=100_000)
    pieces_per_guest = NumberField(
        what=_("the pieces per guest"), label=_("Pieces per guest"), required=False, above=0, most=100, example="2.5"
    )
    discount = PercentField(what=_("the discount"), label=_("Discount, %"), required=False, most=100, example="5")
    rush = forms.BooleanField(label=_("Add the rush fee"), required=False)


class BaseLineFormSet(forms.BaseFormSet[LineForm]):
    """The desserts of a table."""

    row_word = _("Product")


LineFormSet = forms.formset_factory(
    LineForm,
    formset=BaseLineFormSet,
    extra=SPARE_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS + 20,
    can_delete=True,
)


def _money(minor: int | None, currency: str) -> Money | None:
    return None if minor is None else from_minor(minor, currency)


def _line_shown(line: TableLine, currency: str) -> dict[str, Any]:
    return {
        "product": str(line.product_id),
        "share": line.share,
        "units": line.units or None,
        "unit_price": _money(line.unit_price_minor, currency),
    }


def with_spare_rows(data: QueryDict) -> QueryDict:
    """Return the submitted data with empty rows added below the products, for use without scripts."""
    total = data.get("lines-TOTAL_FORMS", "")
    if not (total.isascii() and total.isdigit() and len(total) < 4):
        return data
    rows = int(total)
    filled = max((row + 1 for row in range(rows) if data.get(f"lines-{row}-product")), default=0)
    longer = data.copy()
    longer["lines-TOTAL_FORMS"] = str(max(rows, min(filled + SPARE_ROWS, MOST_ROWS)))
    return longer


def products_named(data: QueryDict) -> set[str]:
    """Return what names products in the rows of a submitted table: keys, names, codes."""
    return {value for name, value in data.items() if name.startswith("lines-") and name.endswith("-product")}  # type: ignore[misc]  # text


class TableForms:
    """All forms of a table: bound to submitted data, or showing a table."""

    def __init__(
        self,
        *,
        products: Sequence[Product],
        taxes: Sequence[TaxCategory],
        currency: str,
        data: QueryDict | None = None,
        shown: DessertTable | None = None,
        guests: int | None = None,
        pieces_per_guest: Decimal | None = None,
    ) -> None:
        shown = shown or DessertTable()
        # A submitted row that says what is saved by now in its place is not an empty one.
        lines, extras = (shown.lines, shown.extras) if data is None else ((), ())
        self.products, self.offered = {product.code: product for product in products}, Offered(products)
        asked = display.current().allergen_list
        first = {"guests": guests, "pieces_per_guest": pieces_per_guest, "rush": shown.rush}
        self.whole = WholeTableForm(data, initial={**first, "discount": shown.discount or None})
        self.lines = LineFormSet(
            data,
            prefix="lines",
            initial=[_line_shown(line, currency) for line in lines],
            form_kwargs={"offered": self.offered, "currency": currency},
        )
        self.extras = ExtraFormSet(
            data,
            prefix="extras",
            initial=[extra_shown(extra, currency, asked) for extra in extras],
            form_kwargs={"taxes": taxes, "currency": currency, "allergen_list": asked},
        )

    def __iter__(self) -> Iterator[Any]:
        """Return the forms in page order, for the error summary."""
        return iter((self.whole, self.lines, self.extras))

    def is_valid(self) -> bool:
        """Return whether all of it can be saved."""
        fine = [self.whole.is_valid(), self.lines.is_valid(), self.extras.is_valid()]
        if all(fine):
            self._refuse_twice()
        return all(fine) and self.lines.is_valid()

    def _refuse_twice(self) -> None:
        seen: set[int] = set()
        for form in self.lines:
            line = form.line()
            if line is None:
                continue
            if line.product_id in seen:
                twice = gettext("%(product)s is in two rows. Use one row for it.")
                form.add_error("product", twice % {"product": form.chosen})
            seen.add(line.product_id)

    def all_counted(self) -> bool:
        """Return whether every row has units; add an error where a share could not be converted to units."""
        for form in self.lines:
            line = form.line()
            if line is not None and not line.units:
                form.add_error("units", uncounted(form.chosen))
        return not any(self.lines.errors)

    def uncounted(self, units: Mapping[str, int]) -> Iterator[tuple[str, str]]:
        """Return (id of the field, sentence) of each row without units, entered or computed: no figure counts it."""
        for form in self.lines:
            line = form.line()
            if line is not None and not line.units and line.code not in units:
                yield form["units"].auto_id, uncounted(form.chosen)

    def left_out(self, units: Mapping[str, int]) -> list[tuple[str, str]]:
        """Return (id of the field, sentence) of what the total leaves out: rows that cannot be read, the discount."""
        whole = [
            (one["discount"].auto_id, str(words)) for one in (self.whole,) for words in one.errors.get("discount", ())
        ]
        return [*input_problems(self.lines, self.extras), *whole, *self.uncounted(units)]

    def check_split(self) -> bool:
        """Say what is missing before the pieces can be split by percentage; return whether nothing is."""
        self.is_valid()
        guests, pieces = self.guests()
        if guests is None and "guests" not in self.whole.errors:
            self.whole.add_error("guests", gettext("Enter the guests to split the pieces by percentage."))
        if pieces is None and "pieces_per_guest" not in self.whole.errors:
            self.whole.add_error("pieces_per_guest", gettext("Enter the pieces per guest to split them by percentage."))
        rows = [form for form in self.lines if form.line() is not None]
        if rows and all(form.line().share is None for form in rows):  # type: ignore[union-attr]  # as just looked
            rows[0].add_error("share", gettext("Enter the share of at least one product, in percent."))
        return not self.whole.errors and not any(self.lines.errors)

    def table(self) -> DessertTable:
        """Return what can be read of the table: of rows with errors the product, the first of a product counts."""
        self.is_valid()
        lines: dict[int, TableLine] = {}
        for form in self.lines:
            line = form.line()
            if line is not None:
                lines.setdefault(line.product_id, line)
        read = {line.code for line in lines.values()}
        wrong = (form.chosen for form in self.lines if form.errors)
        whole = getattr(self.whole, "cleaned_data", {})
        return DessertTable(
            lines=tuple(lines.values()),
            unread=tuple(dict.fromkeys(one.code for one in wrong if one is not None and one.code not in read)),
            extras=tuple(extra for form in self.extras if (extra := form.extra()) is not None),
            discount=whole.get("discount") or Decimal(0),
            rush=bool(whole.get("rush")),
        )

    def removed(self) -> list[TableLine]:
        """Return the products of the rows that are marked to be removed, saved before or not."""
        return [line for form in self.lines if (line := form.removed()) is not None]

    def guests(self) -> tuple[int | None, Decimal | None]:
        """Return guests and pieces per guest as entered."""
        whole = getattr(self.whole, "cleaned_data", {})
        return whole.get("guests"), whole.get("pieces_per_guest")


def uncounted(product: Product | None) -> str:
    """Ask for the quantity of a product that has a share, while guests or pieces per guest are missing."""
    asked = gettext("Enter the quantity of %(product)s, or the guests and pieces per guest.")
    return asked % {"product": product}


def sold_in(product: Product, units: int) -> str:
    """Write in which multiples a product is sold, with the nearest numbers that work."""
    step, near = product.sale_multiple, near_multiples(product, units)
    by_step = gettext("%(product)s is sold in multiples of %(step)s.")
    sold = gettext("%(product)s is sold by the dozen.") if step == 12 else by_step
    enter = gettext("Enter %(less)s or %(more)s.") if len(near) > 1 else gettext("Enter %(more)s.")
    return f"{sold} {enter}" % {"product": product, "step": step, "less": near[0], "more": near[-1]}


def near_multiples(product: Product, units: int) -> tuple[int, ...]:
    """Return the quantities next to one that is none in which the product is sold: below, if that is any, and above."""
    less = units - units % product.sale_multiple
    return (less, less + product.sale_multiple) if less else (product.sale_multiple,)


def _figure(text: str) -> Decimal | None:
    """Return a number as it was entered; None where it is none, or can be read in two ways."""
    try:
        return number_read(text, written=written_here()) if text else None
    except TwoReadings:
        return None
