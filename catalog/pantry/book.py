"""Ingredients with parts and packs, and suppliers: rows to Book values, and back."""

from collections.abc import Iterable
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any, Final

from catalog.book.row_writing import BATCH, create, remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, decimal_or_none, exact, exact_or_none, measure
from catalog.pantry.free_by import FREE_BY, unproven_dropped
from catalog.pantry.models import LISTED, Ingredient, Pack, Part, Supplier
from catalog.recipes.models import RecipeLine
from costing.contract import Book
from costing.contract import book as values
from costing.measures.numbers import number_text

SHARES: Final = tuple(field.name for field in fields(values.Composition))


def _read(book: Book, cache: RecordCache) -> Book:
    """Add ingredients and suppliers; four queries."""
    parts = Rows(Part, "ingredient_id", "code", "share", "density", "grams_each", "joint", "ndb")
    packs = Rows(Pack, "ingredient_id", "size", "price", "starts", "ends", "supplier__name", "preferred")
    columns = ("pk", "code", "name", "base", "density", "grams_each", "yield_share", "charge", "allergens")
    extra = ("source", "ndb", "composition", "note", "active", "allergen_answers", "allergen_names")
    more = ("touches_food", "named_only")
    return replace(
        book,
        ingredients=cache.records(
            "ingredients",
            Rows(Ingredient, *columns, *extra, *more),
            (parts, packs),
            _ingredient,
        ),
        # Sorted here: databases collate names differently.
        suppliers=tuple(values.Supplier(*row) for row in sorted(Rows(Supplier, "name", "note"))),
    )


def _ingredient(row: tuple[Any, ...], parts: list[Any], packs: list[Any]) -> values.Ingredient:
    _, code, name, base, density, grams_each, share, charge, allergens, *more = row
    source, ndb, composition, note, active, answers, names, touches, named_only = more
    return values.Ingredient(
        code=code,
        name=name,
        base=base,
        density=exact_or_none(density),
        grams_each=exact_or_none(grams_each),
        yield_=exact(share),
        charge=charge,
        parts=tuple(map(_part, parts)),
        packs=tuple(map(_pack, packs)),
        allergens=tuple(allergens),
        allergen_answers=tuple(sorted(answers.items())),
        allergen_names=tuple(sorted(names.items())),
        touches_food=touches,
        label_list=named_only.get(LISTED, ""),
        free_by=named_only.get(FREE_BY, ""),
        source=source,
        ndb=ndb,
        composition=_composition(composition),
        note=note,
        active=active,
    )


def _part(row: tuple[Any, ...]) -> values.Part:
    code, share, density, grams_each, joint, ndb = row
    return values.Part(code, exact(share), exact_or_none(density), exact_or_none(grams_each), joint or None, ndb)


def _pack(row: tuple[Any, ...]) -> values.Pack:
    size, price, starts, ends, supplier, preferred = row
    return values.Pack(measure(size), exact(price), starts, ends, supplier, preferred)


def _composition(stored: dict[str, Any]) -> values.Composition | None:
    """Return stated percentages exactly, whatever type of number is stored."""
    if not stored:
        return None
    return values.Composition(**{share: exact(Decimal(str(stored.get(share, 0)))) for share in SHARES})


def _write(book: Book, keys: Keys) -> None:
    """Write suppliers, and ingredients without parts and packs."""
    notes = {supplier.name: supplier.note for supplier in book.suppliers}
    # In the order in which packs name them.
    met = dict.fromkeys(pack.supplier for item in book.ingredients for pack in item.packs if pack.supplier)
    keys["suppliers"] = upsert((Supplier(name=name, note=notes[name]) for name in met | notes), by="name")
    stored = {one.code: one for one in Ingredient.objects.all()}
    rows = [_row(item, i) for i, item in enumerate(book.ingredients)]
    for row in rows:
        _as_before(row, stored.get(row.code))
        unproven_dropped(row)
    keys["ingredients"] = upsert(rows)


def _as_before(row: Ingredient, stored: Ingredient | None) -> None:
    """Let what was answered about a name count on under the same name; a Book has not all of it."""
    if stored is not None and stored.name == row.name:
        row.named_only = {**stored.named_only, **row.named_only}


def _row(item: values.Ingredient, position: int) -> Ingredient:
    shares = {} if item.composition is None else {s: number_text(getattr(item.composition, s)) for s in SHARES}
    return Ingredient(
        code=item.code,
        name=item.name,
        base=item.base,
        density=decimal_or_none(item.density),
        grams_each=decimal_or_none(item.grams_each),
        yield_share=decimal(item.yield_),
        charge=item.charge,
        allergens=list(item.allergens),
        allergen_answers=dict(item.allergen_answers),
        allergen_names=dict(item.allergen_names),
        touches_food=item.touches_food,
        named_only=_named_only(item),
        source=item.source,
        ndb=item.ndb,
        composition=shares,
        note=item.note,
        active=item.active,
        position=position,
    )


def _named_only(item: values.Ingredient) -> dict[str, str]:
    listed = {LISTED: item.label_list} if item.label_list else {}
    return listed | ({FREE_BY: item.free_by} if item.free_by else {})


def _clear(keys: Keys) -> None:
    Pack.objects.filter(ingredient_id__in=keys["ingredients"].values()).delete()
    remove_stale(Ingredient, keys["ingredients"])
    remove_stale(Supplier, keys["suppliers"])


def _write_details(book: Book, keys: Keys) -> None:
    keys["parts"] = _write_parts(book, keys["ingredients"])
    create(
        Pack,
        (
            Pack(
                ingredient_id=keys["ingredients"][item.code],
                size=pack.size.text,
                price=decimal(pack.price),
                starts=pack.start,
                ends=pack.end,
                supplier_id=keys["suppliers"][pack.supplier] if pack.supplier else None,
                preferred=pack.preferred,
                position=i,
            )
            for item in book.ingredients
            for i, pack in enumerate(item.packs)
        ),
    )


def _write_parts(book: Book, ingredients: dict[Any, int]) -> dict[Any, int]:
    """Replace parts, except those that lines of remaining recipes need; return primary keys by ingredient and part."""
    wanted = {(item.code, part.code) for item in book.ingredients for part in item.parts}
    owners = Part.objects.filter(ingredient_id__in=ingredients.values())
    gone = [pk for pk, *named in owners.values_list("pk", "ingredient__code", "code") if tuple(named) not in wanted]
    needed = set(RecipeLine.objects.filter(part_id__in=gone).values_list("part_id", flat=True))
    Part.objects.filter(pk__in=set(gone) - needed).delete()
    Part.objects.bulk_create(
        _part_rows(book, ingredients),
        update_conflicts=True,
        unique_fields=["ingredient", "code"],
        update_fields=["share", "density", "grams_each", "joint", "ndb", "position"],
        batch_size=BATCH,
    )
    return {(owner, code): pk for pk, owner, code in Part.objects.values_list("pk", "ingredient__code", "code")}


def _part_rows(book: Book, ingredients: dict[Any, int]) -> Iterable[Part]:
    return [
        Part(
            ingredient_id=ingredients[item.code],
            code=part.code,
            share=decimal(part.share),
            density=decimal_or_none(part.density),
            grams_each=decimal_or_none(part.grams_each),
            joint=part.joint or "",
            ndb=part.ndb,
            position=i,
        )
        for item in book.ingredients
        for i, part in enumerate(item.parts)
    ]


SECTION: Final = Section(read=_read, write=_write, clear=_clear, write_details=_write_details)
