"""Problems of a recipe in sentences that name the fix, and its lines at another size in kitchen measures."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked

from catalog.recipes.scaling import Scaled, ScaledLine
from catalog.records.presenters import Sentences, Writers, counted, reason_sentence
from catalog.records.reasons import Reason
from catalog.web.display import current
from catalog.web.display.handy import handy_measure
from catalog.web.display.measures import measure_text
from costing.measures.measure import Measure
from costing.measures.units import CupKind

#: Order of the list of recipes -> its name.
SORTED: Final = {
    "name": gettext_lazy("name"),
    "latest": gettext_lazy("latest added"),
    "users": gettext_lazy("most used"),
}
#: The largest denominator of a fraction that people read.
_READABLE: Final = 100

SENTENCES: Final[Sentences] = {
    "empty": marked("This recipe has no lines yet."),
    "too_deep": marked("{name} is nested too deep: use fewer recipes inside recipes."),
    "within": marked("{name} has an error of its own. {problem}"),
    "no_lines": marked("{name} has no lines yet, so it makes nothing. Add its lines first."),
    "needs_itself": marked("{names:first} needs itself: {names:chain}. Remove one of these lines."),
    "measure": "{text}",
    "not_a_mass": marked("“{measure}” of {name} cannot be weighed: it is made here. Enter a weight, such as 250 g."),
    "counted_only": marked("{name} is only counted and cannot go into a recipe. Use it as packaging."),
    "no_density": marked(
        "No density for {name}: a {unit} cannot be weighed. "
        "Enter the density on the ingredient’s page, or use a weight here."
    ),
    "no_piece_weight": marked(
        "No piece weight for {name}: “{measure}” cannot be weighed. "
        "Enter the piece weight on the ingredient’s page, or use a weight here."
    ),
    "no_price": marked("No price in force for {names:all}. Add a pack on the ingredient’s page."),
}


def line_problem(reason: Reason | None) -> str:
    """Write the problem of a line or a recipe; empty without one."""
    return "" if reason is None else reason_sentence(reason, SENTENCES, _WRITERS)


def _named(names: Sequence[str]) -> list[str]:
    """Join names; a recipe that is being written may have none yet."""
    return [name or gettext("this recipe") for name in names]


_WRITERS: Final[Writers] = {
    "first": lambda names: _named(names)[0],
    "chain": lambda names: " → ".join(_named(names)),
    "all": ", ".join,
}


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line of a recipe at another size: as written, exactly, in grams, and in kitchen measures."""

    label: str
    written: str
    exact: str
    grams: Fraction | None
    handy: str


@dataclass(frozen=True, slots=True)
class ScaledShown:
    """A recipe at another size."""

    factor: Fraction
    grams: Fraction
    lines: list[LineShown]
    batches: int


def scaled_shown(scaled: Scaled | None) -> ScaledShown | None:
    """Write a recipe at another size; None stays None."""
    if scaled is None:
        return None
    lines = [_line_shown(line, scaled.cup) for line in scaled.lines]
    return ScaledShown(scaled.factor, scaled.grams, lines, scaled.batches)


def _line_shown(line: ScaledLine, cup: CupKind) -> LineShown:
    handy = handy_measure(line.needed, cup, line.grams, pounds=current().measures == "us")
    return LineShown(line.label, measure_text(line.written), _exact_text(line.needed), line.grams, handy)


def _exact_text(needed: Measure) -> str:
    """Write an amount to three decimals where it is no fraction that people read."""
    if needed.amount.denominator <= _READABLE:
        return measure_text(needed)
    return measure_text(Measure(Fraction(round(needed.amount * 1000), 1000), needed.unit))


def taken_back_words(names: Sequence[str]) -> str:
    """Say that recipes no longer count as safe at room temperature, because what is made was changed."""
    words = gettext(
        "What is made was changed, so this no longer counts as safe at room temperature: %(names)s. If it still holds,"
        " check the box again on the recipe’s form; the source is still there."
    )
    return words % {"names": counted(names)}
