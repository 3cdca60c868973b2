"""The rows of a price list that ask for something: names to check, each with a proposal, and rows to correct."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from django.utils.translation import gettext, gettext_lazy

from catalog.price_lists.corrections import Correction
from catalog.price_lists.models import PriceList
from catalog.price_lists.names import name_to_add
from catalog.price_lists.presenters import problem_sentence
from catalog.records.reasons import Reason, reason_from_json
from catalog.web import display
from catalog.web.display import joined

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

_NAMES: Final = ("likely_item", "common_item", "unknown_item")


@dataclass(slots=True)
class RowToCorrect:
    """A row with problems as the page shows it: what is written in it, and what can be ticked.

    ``similar`` is the ingredient it may be; ``kind`` the code of the question about its name, empty where there is
    none; ``beyond`` says in words what the list says beyond the proposal.
    """

    row: int
    item: str
    pack: str
    price: str
    add: bool = False
    same: bool = False
    name: str = ""
    similar: str = ""
    kind: str = ""
    beyond: str = ""
    #: Its price, where that is so far from the one before that somebody has to say that it is right.
    leap: str = ""
    #: The price of the same day that it would replace, where there is one.
    replaces: str = ""
    wrong: set[str] = field(default_factory=set)
    problems: list[str] = field(default_factory=list)

    @property
    def is_unknown(self) -> bool:
        """Whether it can be added as a new ingredient."""
        return bool(self.kind)

    @property
    def asks_name(self) -> bool:
        """Whether nothing but its name has to be checked."""
        return bool(self.kind) and self.wrong == {"item"}


@dataclass(frozen=True, slots=True)
class NameGroup:
    """Rows whose names are proposed in the same way, those that are not ticked first."""

    title: "StrOrPromise"
    help: "StrOrPromise"
    rows: Sequence[RowToCorrect]


def rows_open(price_list: PriceList, entered: Mapping[int, Correction]) -> list[RowToCorrect]:
    """Return the rows with problems, those whose ingredient is known before those where it is not.

    ``entered`` is what was entered on the page and not stored.
    """
    rows: dict[int, RowToCorrect] = {}
    lines = {line["row"]: line for line in price_list.lines}
    for error in price_list.errors:
        line = lines.get(error["row"])
        if line is None:
            continue
        row = rows.get(line["row"]) or rows.setdefault(line["row"], _row(line))
        reason = reason_from_json(error["reason"])
        row.wrong.add(error["column"])
        row.problems.append(problem_sentence(reason))
        if reason.code == "leap":
            row.leap = display.amount(Decimal(reason.params["price"]))
        if reason.code == "same_day":
            row.replaces = display.amount(Decimal(reason.params["before"]))
        if reason.code in _NAMES:
            _propose(row, reason)
    for number, row in rows.items():
        if number in entered:
            _enter(row, entered[number])
    return sorted(rows.values(), key=lambda row: (row.kind == "unknown_item", row.row))


def _row(line: Mapping[str, Any]) -> RowToCorrect:
    return RowToCorrect(line["row"], line["item"], line["pack"], line["price"], bool(line.get("add")))


def _propose(row: RowToCorrect, reason: Reason) -> None:
    """Propose a name; it is ticked where it is near certain, so that one answer takes all of those."""
    row.kind = reason.code
    row.name = row.similar = reason.params.get("name", "")
    if not row.similar:
        row.name = name_to_add(row.item)
        return
    # Lists from before say nothing of how certain it is.
    row.same = reason.params.get("certain", False)
    row.add = row.add and not row.same
    row.beyond = _beyond_words(reason.params.get("beyond", ()))


def _beyond_words(beyond: Sequence[str]) -> str:
    if not beyond:
        return ""
    return gettext("The list also says: %(words)s") % {"words": joined([f"“{word}”" for word in beyond])}


def _enter(row: RowToCorrect, entered: Correction) -> None:
    row.item = row.name = entered.item
    row.pack = row.pack if entered.pack is None else entered.pack
    row.price = row.price if entered.price is None else entered.price
    row.add, row.same = entered.add, entered.same


_GROUPS: Final = (
    (
        "likely_item",
        gettext_lazy("Your ingredients under the supplier’s names"),
        gettext_lazy("A checked row is a price of the ingredient beside it."),
    ),
    (
        "common_item",
        gettext_lazy("Common ingredients you do not have yet"),
        gettext_lazy("A checked row adds the ingredient beside it, with weights and composition from the food table."),
    ),
    (
        "unknown_item",
        gettext_lazy("Other items"),
        gettext_lazy("Enter which of your ingredients it is, or check the row to add it under the name beside it."),
    ),
)


def name_groups(rows: Iterable[RowToCorrect]) -> list[NameGroup]:
    """Return rows whose names are to be checked, by what is proposed."""
    rows = list(rows)
    groups = []
    for kind, title, help_text in _GROUPS:
        some = sorted((row for row in rows if row.kind == kind), key=lambda row: (row.same, row.row))
        if some:
            groups.append(NameGroup(title, help_text, some))
    return groups
