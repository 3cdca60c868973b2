"""A kitchen and an order as a spreadsheet with formulas: what an owner would build instead.

The kitchen is the large one without what a spreadsheet has no formula for: parts that come from one piece, and the
cheapest mix of several pack sizes (ingredients charged by packs have one). Recipes are in three sheets by their depth,
because formulas over one sheet that asks itself would be a loop.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from costing import read_book
from tests.bench.kitchen import BASES, MIDDLES, large_book

Json = dict[str, Any]

FIRST = 2
"""The first row of data."""
JUST_UNDER = "-1E-9"


def plain_kitchen(products: int) -> Json:
    """Make up a kitchen a spreadsheet can compute."""
    book = large_book(products=products)
    for item in book["ingredients"]:
        item.pop("parts", None)
        if item.get("charge") == "packs":
            del item["packs"][1:]
    for recipe in book["recipes"]:
        for line in recipe["lines"]:
            line.pop("part", None)
    return book


class Sheets:
    """The workbook of a kitchen and an order."""

    def __init__(self, document: Json, brief: Json) -> None:
        self.document, self.brief, self.book = document, brief, read_book(document)
        self.workbook = Workbook()
        del self.workbook["Sheet"]
        levels = (document["recipes"][BASES + MIDDLES :], document["recipes"][BASES : BASES + MIDDLES])
        self.levels: tuple[list[Json], ...] = (*levels, document["recipes"][:BASES])
        self.row_of = {recipe["code"]: FIRST + i for recipes in self.levels for i, recipe in enumerate(recipes)}
        self.good_row = {item["code"]: FIRST + i for i, item in enumerate(document["ingredients"])}

    def made(self) -> Workbook:
        """Fill all sheets."""
        self._sheet("Ingredients", self._ingredients())
        for at in range(3):
            self._sheet(f"Lines{at}", self._lines(at))
            self._sheet(f"Recipes{at}", self._recipes(at))
        self._sheet("Products", self._products())
        self._sheet("Fills", self._fills())
        self._sheet("Order", self._order())
        self._sheet("Totals", self._totals())
        return self.workbook

    def _sheet(self, name: str, rows: Iterable[list[Any]]) -> Worksheet:
        sheet = self.workbook.create_sheet(name)
        sheet.append([name])
        for row in rows:
            sheet.append(row)
        return sheet

    def _ingredients(self) -> Iterable[list[Any]]:
        """A code, B charge, C yield, D waste, E pack price, F pack size, G price, H need, I bought, J cost, K rate."""
        for at, item in enumerate(self.book.ingredients, FIRST):
            priced = [(float(p.price), float(item.amount_of(p.size, "us"))) for p in item.packs]
            each = ",".join(f"{price}/{size}" for price, size in priced)
            uses = "+".join(f"SUMIF(Lines{n}.B:B,A{at},Lines{n}.G:G)".replace(".", "!") for n in range(3))
            yield [
                item.code,
                item.charge,
                float(item.yield_),
                1.0 if item.base == "each" else 1 + float(self.book.kitchen.waste),
                *priced[0],
                f"=MIN({each})",
                f"={uses}+SUMIF(Order!S:S,A{at},Order!B:B)",
                f"=H{at}*D{at}",
                f'=IF(B{at}="packs",ROUNDUP(I{at}/F{at}{JUST_UNDER},0)*E{at},I{at}*G{at})',
                f"=IF(H{at}>0,J{at}/H{at},0)",
            ]

    def _lines(self, level: int) -> Iterable[list[Any]]:
        """A recipe, B ingredient, C component, D grams, E per gram, F used, G bought, H food, I pay, J minutes."""
        at = FIRST - 1
        for recipe in self.levels[level]:
            for line in self.book.recipe(recipe["code"]).lines:
                at += 1
                own = f"Recipes{level}!{{}}{self.row_of[recipe['code']]}"
                share, used = f"=D{at}/{own.format('G')}", f"={own.format('I')}*E{at}"
                if line.ingredient is not None:
                    good = self.good_row[line.ingredient]
                    grams = float(self.book.ingredient(line.ingredient).amount_of(line.amount, "us"))
                    bought = f"=F{at}/Ingredients!C{good}"
                    food = f"=E{at}/Ingredients!C{good}*Ingredients!K{good}"
                    yield [recipe["code"], line.ingredient, None, grams, share, used, bought, food, 0, 0]
                else:
                    below = f"Recipes{level + 1}!{{}}{self.row_of[line.recipe or '']}"
                    costs = [f"=E{at}*{below.format(column)}" for column in "KLM"]
                    yield [recipe["code"], None, line.recipe, float(line.amount.grams("us")), share, used, 0, *costs]

    def _recipes(self, level: int) -> Iterable[list[Any]]:
        """A code, B loss, C limit, D least, G output, H asked, I made, J batches, K food, L pay, M minutes a gram."""
        lines = f"Lines{level}!"
        for at, recipe in enumerate(self.levels[level], FIRST):
            above = f"+SUMIF(Lines{level - 1}!C:C,A{at},Lines{level - 1}!F:F)" if level else ""
            own = {column: f"SUMIF({lines}A:A,A{at},{lines}{column}:{column})" for column in "DHIJ"}
            yield [
                recipe["code"],
                float(recipe["loss"]),
                4000,
                400 if "batch_min" in recipe else 0,
                None,
                None,
                f"={own['D']}*(1-B{at})",
                f"=SUMIF(Fills!B:B,A{at},Fills!D:D){above}",
                f"=IF(H{at}>0,MAX(H{at},D{at}),0)",
                f"=ROUNDUP(I{at}/C{at}{JUST_UNDER},0)",
                f"=IF(H{at}>0,{own['H']}*I{at}/H{at},0)",
                f"=IF(H{at}>0,({own['I']}*I{at}+(J{at}*18+I{at}*0.0015)/60*25*1.2)/H{at},0)",
                f"=IF(H{at}>0,({own['J']}*I{at}+J{at}*18+I{at}*0.0015)/H{at},0)",
            ]

    def _products(self) -> Iterable[list[Any]]:
        """A code, B spare, C load, D category, E tax, F box, then recipe and grams of each fill."""
        for item in self.document["products"]:
            fills = [part for fill in item["fill"] for part in (fill["recipe"], float(fill["amount"].split()[0]))]
            tax, box = 0.07 if item["tax"] == "food" else 0.19, item["packaging"][0]["ingredient"]
            yield [item["code"], float(item["spare"]), item["load"], item["category"], tax, box, *fills]

    def _fills(self) -> Iterable[list[Any]]:
        """A line, B recipe, C grams each, D grams made, E food, F pay, G minutes of one unit."""
        at = FIRST - 1
        for row in range(FIRST, FIRST + len(self.brief["lines"])):
            for recipe, grams in ("GH", "IJ", "KL"):
                at += 1
                found = [f"=INDEX(Products!{column}:{column},Order!T{row})" for column in (recipe, grams)]
                costs = [
                    f"=C{at}*(" + "+".join(f"SUMIF(Recipes{n}!A:A,B{at},Recipes{n}!{of}:{of})" for n in range(3)) + ")"
                    for of in "KLM"
                ]
                yield [row, *found, f"=C{at}*Order!D{row}", *costs]

    def _order(self) -> Iterable[list[Any]]:
        """A product, B units, C spare, D made, E load, F loads, G food, H packaging, I minutes, J pay, K overhead.

        L cost, M category, N margin, O minimum, P tax, Q price, R amount, S box, T the product's row.
        """
        last = FIRST + len(self.brief["lines"]) - 1
        for at, line in enumerate(self.brief["lines"], FIRST):
            own = {column: f"SUMIF(Fills!A:A,{at},Fills!{column}:{column})" for column in "EFG"}
            known = {column: f"=INDEX(Products!{column}:{column},T{at})" for column in "BCDEF"}
            bases = "+".join(f"SUM({column}{FIRST}:{column}{last})" for column in "GHJ")
            many = f'SUMIF(M${FIRST}:M${last},"portion",B${FIRST}:B${last})>=600'
            yield [
                line["product"],
                line["units"],
                known["B"],
                f"=ROUNDUP(B{at}*(1+C{at}){JUST_UNDER},0)",
                known["C"],
                f"=ROUNDUP(D{at}/E{at},0)",
                f"={own['E']}*D{at}",
                f"=B{at}*SUMIF(Ingredients!A:A,S{at},Ingredients!K:K)",
                f"=F{at}*12+D{at}*0.75+{own['G']}*D{at}",
                f"=(F{at}*12+D{at}*0.75)/60*25*1.2+{own['F']}*D{at}",
                f"=I{at}/60*8.4+F{at}*(45/60*4.8+480/60*0.35)+12*(G{at}+H{at}+J{at})/({bases})",
                f"=G{at}+H{at}+J{at}+K{at}",
                known["D"],
                f'=IF(M{at}="portion",IF({many},0.54,0.6),0.58)',
                f"=IF(N{at}=0.6,4,0)",
                known["E"],
                f"=ROUND(CEILING(MAX(L{at}/B{at}/(1-N{at})*(1+P{at}),O{at}){JUST_UNDER},0.1),2)",
                f"=ROUND(Q{at}*B{at},2)",
                known["F"],
                f"=MATCH(A{at},Products!A:A,0)",
            ]

    def _totals(self) -> Iterable[list[Any]]:
        """Goods by tax, discount, delivery, total; the total is in the last row."""
        yield ["food", "=SUMIF(Order!P:P,0.07,Order!R:R)"]
        yield ["standard", "=SUMIF(Order!P:P,0.19,Order!R:R)"]
        yield ["goods", "=B2+B3"]
        yield ["discount", f"=ROUND(B4*{self.brief['discount']},2)"]
        yield ["delivery cost", "=2*(2*35+40)/60*19.5+2*28*0.42"]
        yield ["delivery", f"=CEILING(B6/0.75*IF(B2>=B3,1.07,1.19){JUST_UNDER},0.1)"]
        yield ["total", "=ROUND(B4-B5+B7,2)"]
