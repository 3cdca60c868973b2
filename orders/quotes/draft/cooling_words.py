"""Notes about cooling for the owner with links, and how to hold a dessert, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.urls import reverse

from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import ProductCold
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers
from catalog.web import display
from orders.quotes.draft.cooling import ColdNote, CooledProduct
from orders.records.window_presenters import names_words

_SENTENCES: Final[Sentences] = {
    "rule_not_kept": (
        "{products:names}: not cold in the time the rule asks for ({rule}). Whether it may go is for you to decide."
    ),
    "rule_kept_as_likely": (
        "{products:names}: cold in time by the likeliest figures, but not at the slow end of the estimate ({rule})."
    ),
    "not_worked_out": "How {product} cools is not worked out; its stated minutes count. {missing:missing}",
    "rim_freezes": (
        "{product} freezes at its rim after {minutes:duration} of “{freezes_in}”, before its middle is cold. The "
        "estimate ends there, so the stated minutes of “{step}” count."
    ),
    "once_collected": (
        "Once collected, {products:names} may be out of the cold for {most:duration} at most. The quote says so."
    ),
    "gets_warm": (
        "Out of the cold for {away:duration} before it is handed over. The inside stays at {limit_c:temperature} or "
        "colder, at the fast end of the estimate: {each:semicolons}. The rule states no time: whether it takes a "
        "refrigerated vehicle, ice packs or a shorter way is for you to judge."
    ),
    "stays_cold": "{product} for {minutes:duration} (in an insulated box {boxed:box})",
}
_WRITERS: Final[Writers] = {
    "box": lambda minutes: "without end" if minutes is None else display.duration(minutes),
    "duration": display.duration,
    "missing": missing_sentence,
    "names": names_words,
    "semicolons": "; ".join,
    "temperature": display.temperature,
}


@dataclass(frozen=True, slots=True)
class ColdNoteShown:
    """A sentence for the owner, with links to pages with details."""

    sentence: str
    pages: tuple[tuple[str, str], ...]


def cold_notes_shown(notes: Iterable[ColdNote]) -> tuple[ColdNoteShown, ...]:
    """Write the notes for the owner."""
    return tuple(map(_note_shown, notes))


def _note_shown(note: ColdNote) -> ColdNoteShown:
    sentence = presenters.reason_sentence(note.reason, _SENTENCES, _WRITERS)
    return ColdNoteShown(sentence, tuple(_page(product, note.products) for product in note.products))


def _page(product: CooledProduct, among: tuple[CooledProduct, ...]) -> tuple[str, str]:
    words = "How it cools" if len(among) == 1 else f"How {product.name} cools"
    return words, cooling_url(product.product_id)


def cooling_url(product_id: int) -> str:
    """Return the address of a product's cooling page."""
    return reverse("product-cooling", args=[product_id])


def holding_words(one: ProductCold) -> str:
    """Write how to hold a cooled dessert: how cold, how long out of the cold, and what to do then."""
    if not one.times:
        return ""
    limit = display.temperature(one.times[-1].limit_c)
    if one.out is None:
        return f"Keep at {limit} or colder."
    most = one.out.allowed_minutes
    if one.out.clause is None:
        soon = f"after about {display.duration(most)}" if most else "at once"
        return f"Keep at {limit} or colder until it is served. Out of the cold its inside is warmer than that {soon}."
    return (
        f"Keep at {limit} or colder. At most {display.duration(most)} out of the cold in all, on the way, setting up "
        f"and on the table together; then throw it away."
    )
