"""What importing ingredients would do: new ones, changed figures, packs at new prices, parts of new ones."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Final

from django.utils import timezone

from catalog.kitchen.selectors import kitchen, local_day
from catalog.pantry.free_by import free_in_note, free_lost
from catalog.pantry.models import Ingredient, Pack, Part
from catalog.pantry.other_goods import Bought, loses_free
from catalog.price_lists.comparison import pack_size, subject_new
from catalog.price_lists.heads import HEADS
from catalog.price_lists.names import Names, Subject, tidy
from catalog.price_lists.prices import price_read
from catalog.records.numbers import number_format
from catalog.records.reasons import Reason
from catalog.spreadsheets.columns import Column, Line
from catalog.spreadsheets.known import folded
from catalog.spreadsheets.plan import Answers, Item, Plan
from catalog.spreadsheets.values import Cells, changes, first_values
from costing.measures.measure import Measure, parse_measure

COLUMNS: Final = (
    Column("code", ("code",)),
    Column("ingredient", ("ingredient", "ingredients", "zutat", *HEADS["item"][:12], "name"), needed=True),
    Column("pack", HEADS["pack"]),
    Column("price", HEADS["price"]),
    Column("supplier", ("supplier", "vendor", "bought_from", "source", "from")),
    Column("counted", ("counted_only",)),
    Column("density", ("density_g_ml", "density")),
    Column("grams_each", ("piece_weight_g", "piece_weight", "weight_each", "each_weight")),
    Column("yield_share", ("yield", "yield_percent", "usable")),
    Column("share", ("part_piece",)),
    Column("joint", ("parts_one_piece",)),
    Column("note", ("note", "notes", "comment", "comments", "remark", "notiz", "notizen", "bemerkung")),
)
#: Columns of an ingredient that a row may change.
FIGURES: Final = ("density", "grams_each", "yield_share", "note")
_MOST_SUPPLIERS: Final = 100


@dataclass(slots=True)
class PackRead:
    """A pack of a row: its size in the exact grammar, its price, and the supplier's name."""

    size: str
    price: Decimal
    supplier: str
    row: int


@dataclass(slots=True)
class IngredientContent:
    """What is written of an ingredient."""

    name: str
    code: str = ""
    stored: Ingredient | None = None
    base: str = Ingredient.Base.GRAM.value
    columns: dict[str, Any] = field(default_factory=dict)
    packs: list[PackRead] = field(default_factory=list)
    parts: list[dict[str, Any]] = field(default_factory=list)


@dataclass(slots=True)
class _Group:
    name: str
    code: str
    lines: list[Line] = field(default_factory=list)
    parts: list[tuple[str, Line]] = field(default_factory=list)

    def rows(self) -> list[int]:
        return sorted(line["row"] for line in [*self.lines, *(line for _, line in self.parts)])


def ingredients_plan(lines: Sequence[Line], answers: Answers, lock: bool) -> Plan:
    """Return what importing rows of ingredients would do; with ``lock`` all ingredients are locked first."""
    if lock:
        list(Ingredient.objects.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    return _Planner(lines, answers).plan


class _Planner:
    def __init__(self, lines: Sequence[Line], answers: Answers) -> None:
        self.plan, self.answers, self.home = Plan(), answers, kitchen()
        self.written, self.today = number_format(self.home.locale), local_day(timezone.now())
        ingredients = list(Ingredient.objects.prefetch_related("parts"))
        self.names, self.by_pk = Names(ingredients), {one.pk: one for one in ingredients}
        self.by_code = {one.code.lower(): one for one in ingredients}
        self.packs, self.bought = packs_by_size(), Bought()
        self.suppliers: set[str] = set()
        self.groups: dict[str, _Group] = {}
        for line in lines:
            self._group(line)
        for group in self.groups.values():
            if item := self._item(group):
                self.plan.items.append(item)

    def _group(self, line: Line) -> None:
        cells = line["cells"]
        name, code = " ".join(cells.get("ingredient", "").split()), cells.get("code", "").strip()[:80]
        whole, colon, part = name.partition(": ")
        is_part = bool(colon) and bool(cells.get("share"))
        owner = whole if is_part else name
        group = self.groups.setdefault(code.lower() or folded(owner), _Group(owner, code))
        if not name:
            self.plan.problem(line["row"], "ingredient", "no_name")
        elif len(name) > 500:
            self.plan.problem(line["row"], "ingredient", "too_long", most=500)
        if is_part:
            group.parts.append((part, line))
        else:
            group.lines.append(line)

    def _item(self, group: _Group) -> Item | None:
        rows = group.rows()
        stored = self._stored(group)
        if stored == "leave":
            return None
        found = stored if isinstance(stored, Ingredient) else None
        read = [self._read(line) for line in group.lines]
        figures = first_values(read, (*FIGURES, "counted"))
        subject = self._subject(group, found, figures)
        content = IngredientContent(group.name, group.code, found, subject.base)
        content.columns = self._columns(group, found, figures)
        content.packs = [pack for line in group.lines if (pack := self._pack(line, subject, group, found))]
        self._check_packs(content)
        content.parts = self._parts(group, found)
        item = Item(found.name if found else group.name, rows, content=content)
        if not self.plan.open_rows_of(rows):
            self._settle(item, content)
        if self.plan.open_rows_of(rows):
            item.change, item.details = "waits", []
        return item

    def _stored(self, group: _Group) -> Ingredient | str:
        """Return the stored ingredient; new, leave or ask where there is none."""
        if group.code and (by_code := self.by_code.get(group.code.lower())):
            return by_code
        subject = self.names.named(group.name)
        if group.code:
            # A row with a code is one of an export: it means exactly the one of that name.
            same = subject is not None and tidy(subject.name) == tidy(group.name)
            return self.by_pk[subject.pk] if same and subject and subject.pk else "new"
        if subject is not None and subject.pk:
            return self.by_pk[subject.pk]
        return self._asked(group)

    def _asked(self, group: _Group) -> Ingredient | str:
        key = f"name:{folded(group.name)}"
        answer, likely = self.answers.get(key, ""), self.names.likely_there(group.name)
        if answer in ("add", "leave"):
            return "new" if answer == "add" else "leave"
        meant = self.names.named(answer.removeprefix("is:")) if answer.startswith("is:") else None
        if meant is not None and meant.pk:
            return self.by_pk[meant.pk]
        if likely is not None and likely.pk:
            if answer == "same":
                return self.by_pk[likely.pk]
            for row in group.rows():
                self.plan.ask("likely", key, row, item=group.name, name=likely.name)
            return "ask"
        if group.name and all(self._stands_alone(line) for line in group.lines) and not group.parts:
            for row in group.rows():
                self.plan.ask("title", key, row, item=group.name)
            return "ask"
        return "new"

    def _stands_alone(self, line: Line) -> bool:
        others = [key for key in line["cells"] if key != "ingredient"]
        return bool(others) and not any(line["cells"][key] for key in others)

    def _read(self, line: Line) -> dict[str, Any]:
        cells = Cells(self.plan, line, written=self.written)
        return {
            "density": cells.number("density"),
            "grams_each": cells.number("grams_each"),
            "yield_share": cells.share("yield_share"),
            "note": cells.text("note"),
            "counted": cells.yes("counted"),
        }

    def _subject(self, group: _Group, found: Ingredient | None, figures: Mapping[str, Any]) -> Subject:
        if found is not None:
            density, each = figures["density"] or found.density, figures["grams_each"] or found.grams_each
            counted = figures["counted"]
            if counted is not None and counted != (found.base == Ingredient.Base.EACH):
                self.plan.problem(group.lines[0]["row"], "counted", "counted_differs", name=found.name)
            return Subject(found.pk, found.name, found.base, density, each)
        subject = Subject(None, group.name, "") if group.code else subject_new(group.name)
        subject.density = figures["density"] or subject.density
        subject.grams_each = figures["grams_each"] or subject.grams_each
        if figures["counted"] is not None:
            subject.base = str(Ingredient.Base.EACH if figures["counted"] else Ingredient.Base.GRAM)
        elif group.code:
            subject.base = str(Ingredient.Base.GRAM)
        return subject

    def _columns(self, group: _Group, found: Ingredient | None, figures: Mapping[str, Any]) -> dict[str, Any]:
        columns = {key: figures[key] for key in FIGURES}
        if found is None:
            return {key: value for key, value in columns.items() if value is not None}
        if group.code and found.code.lower() == group.code.lower() and tidy(found.name) != tidy(group.name):
            columns["name"] = group.name
        return changes(columns, found)

    def _pack(self, line: Line, subject: Subject, group: _Group, found: Ingredient | None) -> PackRead | None:
        cells, row = line["cells"], line["row"]
        pack, price = cells.get("pack", ""), cells.get("price", "")
        if not pack and not price:
            return None
        if not pack or not price:
            self.plan.problem(row, "price" if pack else "pack", "pack_and_price")
            return None
        size, wrong = pack_size(pack, subject, self.written)
        for reason in wrong:
            self.plan.problem(row, "pack", reason.code, **reason.params)
        amount = price_read(price, pack=pack, written=self.written, currency=self.home.currency)
        if isinstance(amount, Reason):
            self.plan.problem(row, "price", amount.code, **amount.params)
            return None
        supplier = " ".join(cells.get("supplier", "").split())[:80]
        self.suppliers.add(supplier.casefold())
        if len(self.suppliers) > _MOST_SUPPLIERS:
            self.plan.problem(row, "supplier", "too_many_suppliers", most=_MOST_SUPPLIERS)
        return None if wrong else PackRead(size, amount, supplier, row)

    def _check_packs(self, content: IngredientContent) -> None:
        """Leave out packs that cost what they did, and note those that stand twice or have a later price."""
        met: dict[tuple[Measure, str], int] = {}
        new = []
        for pack in content.packs:
            key = parse_measure(pack.size), pack.supplier.casefold()
            if met.setdefault(key, pack.row) != pack.row:
                self.plan.problem(pack.row, "pack", "twice", name=content.name, size=pack.size, row=met[key])
            before = self.packs.get((content.stored.pk, *key), []) if content.stored else []
            if any(one.price == pack.price and in_force(one, self.today) for one in before):
                continue
            if later := next((one for one in before if one.starts >= self.today), None):
                self.plan.problem(pack.row, "pack", "later", name=content.name, size=pack.size, day=later.starts)
            new.append(pack)
        content.packs = new

    def _parts(self, group: _Group, found: Ingredient | None) -> list[dict[str, Any]]:
        there = {part.code: part for part in found.parts.all()} if found else {}
        parts = []
        for code, line in group.parts:
            cells = Cells(self.plan, line, written=self.written)
            part = {
                "code": code[:200],
                "share": cells.share("share"),
                "density": cells.number("density"),
                "grams_each": cells.number("grams_each"),
                "joint": cells.text("joint", most=200) or "",
            }
            if not group.lines and found is None:
                self.plan.problem(line["row"], "ingredient", "part_of_what", name=f"{group.name}: {code}")
            elif found is not None and not _same_part(there.get(code), part):
                self.plan.problem(line["row"], "share", "part_differs", name=f"{group.name}: {code}")
            parts.append(part)
        return parts if found is None else []

    def _settle(self, item: Item, content: IngredientContent) -> None:
        item.details = [Reason("column", {"column": _column(key)}) for key in content.columns]
        item.details += self._free_lost(content)
        if content.packs:
            item.details.append(Reason("packs", {"sizes": [_pack_text(pack) for pack in content.packs]}))
        if content.parts:
            item.details.append(Reason("parts", {"names": [part["code"] for part in content.parts]}))
        if content.stored is not None:
            item.change = "change" if item.details else "same"

    def _free_lost(self, content: IngredientContent) -> Iterator[Reason]:
        """Yield why answers "free" become "not checked": another name, another supplier, what its note names."""
        stored, columns = content.stored, content.columns
        if stored is None:
            return
        touches, answers = stored.touches_food, stored.allergen_answers
        name = columns.get("name", stored.name)
        if free_lost(before=stored.name, name=name, answers=answers, touches_food=touches):
            yield Reason("free_lost", {"name": stored.name})
        sellers = [pack.supplier for pack in content.packs if self.bought.is_other(stored.pk, pack.supplier)]
        if sellers and loses_free(stored):
            yield Reason("free_lost_bought", {"name": sellers[0] or "–"})
        note = columns.get("note") or ""
        named = free_in_note(note=note, allergens=stored.allergens, answers=answers) if touches else ()
        if named:
            yield Reason("free_lost_note", {"codes": list(named)})


def _column(key: str) -> str:
    return "ingredient" if key == "name" else key


def _pack_text(pack: PackRead) -> list[str]:
    """Return a size in the exact grammar, and its price as a number."""
    return [pack.size, str(pack.price)]


def _same_part(stored: Part | None, part: Mapping[str, Any]) -> bool:
    if stored is None:
        return False
    return not changes({key: part[key] or None for key in ("share", "density", "grams_each", "joint")}, stored)


def packs_by_size() -> dict[tuple[int, Measure, str], list[Pack]]:
    """Return all packs by ingredient, size and supplier's name in lower case, the oldest first."""
    found: dict[tuple[int, Measure, str], list[Pack]] = {}
    for pack in Pack.objects.select_related("supplier").order_by("starts", "pk"):
        supplier = pack.supplier.name.casefold() if pack.supplier else ""
        found.setdefault((pack.ingredient_id, pack.measure, supplier), []).append(pack)
    return found


def in_force(pack: Pack, day: date) -> bool:
    """Return whether a pack's price counts on a day."""
    return pack.starts <= day and (pack.ends is None or pack.ends >= day)


def same_measure(size: str) -> tuple[str, Decimal]:
    """Return what packs are sorted by: the kind of measure, then its size."""
    measure = parse_measure(size)
    base = measure.in_base()
    return measure.kind, Decimal(base.numerator) / Decimal(base.denominator)
