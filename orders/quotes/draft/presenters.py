"""The draft estimate in words: problems with links, the window, cooling, how each price was computed, a chart."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.book.presenters import shown_problems
from catalog.book.selectors import BookProblem
from catalog.cooling.missing_presenters import SENTENCES as COOLING_SENTENCES
from catalog.pantry.allergens import asked_of
from catalog.pantry.presenters import allergen_words, need_words, unchecked_words, untrue_sentence
from catalog.price_rules.presenters import fits_words
from catalog.products.presenters import claim_sentence
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers
from catalog.web import display
from costing.contract import Advice
from orders.documents.need_words import NeedShown, NoteShown, every_need_words, need_shown, note_shown
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import LabelChange, SinceQuote, UncheckedDish
from orders.quotes.draft.claims import claims_refused
from orders.quotes.draft.cooling import ColdNote, CooledProduct
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine, Leftover, Problem, TableProblem
from orders.quotes.draft.windows import WindowAnswer
from orders.records.errors import NeverCold, OrderError, OutsideHours, OutTooLong, WindowTooEarly
from orders.records.presenters import reason_sentence

_ABOUT: Final[dict[type[OrderError], str]] = {
    WindowTooEarly: marked("Time"),
    OutsideHours: marked("Time"),
    NeverCold: marked("Cold"),
    OutTooLong: marked("Out of the cold"),
}


@dataclass(frozen=True, slots=True)
class WindowShown:
    """The check of a window in words; ``instead`` says what works otherwise, ``link`` is a page with details.

    Not ``sure`` where a batch has no time to plan with.
    """

    fits: bool
    sure: bool
    about: str
    sentence: str
    instead: str
    link: str
    hours: str = ""


#: Reason that a window works -> the same of its hours alone, where the rule for cooling states no times.
_HOURS_ALONE: Final = {"window_kept": "hours_alone", "window_kept_from": "hours_alone_from"}

#: Reason that a window works -> the reason where a cooling rule is broken: nothing reads as if all were well.
_DESPITE_COOLING: Final = {"window_kept": "hours_fit", "window_kept_from": "hours_fit_from"}


def window_shown(answer: WindowAnswer | None, *, unsettled: Sequence[str] = ()) -> WindowShown | None:
    """Write the check of a window; None if it could not be made. ``unsettled`` are names of what breaks a rule."""
    if answer is None:
        return None
    reason = answer.reason
    if unsettled and reason.code in _DESPITE_COOLING:
        params = {**reason.params, "unsettled": unsettled}
        reason = replace(reason, code=_DESPITE_COOLING[reason.code], params=params)
    return WindowShown(
        fits=answer.fits,
        sure=answer.fits and answer.reason.code != "time_not_known",
        about=gettext(_ABOUT[answer.refusal]),
        sentence=reason_sentence(reason),
        instead="" if answer.instead is None else reason_sentence(answer.instead),
        link="" if answer.product_id is None else cooling_url(answer.product_id),
        hours=reason_sentence(replace(reason, code=_HOURS_ALONE.get(reason.code, reason.code))),
    )


_SENTENCES: Final[Sentences] = {
    "rule_not_kept": marked("{products:names}: not cold in the time the rule asks for ({rule:official})."),
    "rule_kept_as_likely": marked(
        "{products:names}: likely cold in time, but not if it cools slowly ({rule:official})."
    ),
    "rim_freezes": marked(
        "{product} freezes at its rim after {minutes:duration} of “{freezes_in}”, before its middle is cold. The "
        "estimate ends there, so the stated minutes of “{step}” count."
    ),
    "height_differs": marked(
        "{product}: what goes into one would fill {mold} to {full:length}, and {height:length} is entered. The "
        "higher of both was judged: check the height and the amounts."
    ),
    "once_collected": marked("Once picked up, {products:names} may be out of the cold for {limit}. The quote says so."),
    "at_most": marked("{minutes:duration} at most"),
    "less_than": marked("less than {minutes:duration}"),
    "at_most_left": marked("{minutes:duration} at most after {used:duration} in the kitchen"),
    "less_than_left": marked("less than {minutes:duration} after {used:duration} in the kitchen"),
    "no_time_stated": marked(
        "{products:names}: your rule states no time out of the cold, so the quote says to keep it cold until it is "
        "served. Enter the limit that you or your authority go by, and windows, quotes and sheets use it."
    ),
    "gets_warm": marked(
        "Out of the cold for {away:duration} before it is handed over. The inside stays at {limit_c:temperature} or "
        "colder, at the fastest: {each:semicolons}. Keep it cold on the way: a refrigerated vehicle, "
        "an insulated box with ice packs, or a shorter way."
    ),
    "waits_warm": COOLING_SENTENCES["waits_warm"],
    "waits_warm_by_rule": COOLING_SENTENCES["waits_warm_by_rule"],
    "stays_cold": marked("{product} for {minutes:duration} (in an insulated box {boxed:box})"),
}
_WRITERS: Final[Writers] = {
    "box": lambda minutes: gettext("without end") if minutes is None else display.duration(minutes),
    "duration": display.duration,
    "length": display.length,
    "names": display.joined,
    "semicolons": "; ".join,
    "temperature": display.temperature,
}


@dataclass(frozen=True, slots=True)
class ColdNoteShown:
    """A sentence for the owner, with links to pages with details; ``doubts`` what was entered."""

    sentence: str
    pages: tuple[tuple[str, str], ...]
    doubts: bool = False


def cold_notes_shown(notes: Iterable[ColdNote]) -> tuple[ColdNoteShown, ...]:
    """Write the notes for the owner."""
    return tuple(map(_note_shown, notes))


def _note_shown(note: ColdNote) -> ColdNoteShown:
    sentence = presenters.reason_sentence(note.reason, _SENTENCES, _WRITERS)
    pages = [_page(product, note.products) for product in note.products]
    if note.reason.code == "no_time_stated":
        pages.append((gettext("Enter the limit"), reverse("kitchen-profile")))
    return ColdNoteShown(sentence, tuple(pages), note.reason.code == "height_differs")


def _page(product: CooledProduct, among: tuple[CooledProduct, ...]) -> tuple[str, str]:
    words = gettext("How it cools") if len(among) == 1 else gettext("How %(product)s cools") % {"product": product.name}
    return words, cooling_url(product.product_id)


def cooling_url(product_id: int) -> str:
    """Return the address of a product's cooling page."""
    return reverse("product-cooling", args=[product_id])


def label_change_words(change: LabelChange) -> Iterator[str]:
    """Write what a dessert declares today and its quote does not."""
    if change.contains:
        yield gettext("now contains %(allergens)s") % {"allergens": allergen_words(change.contains)}
    if change.may:
        yield gettext("now may contain %(allergens)s") % {"allergens": allergen_words(change.may)}
    if change.unchecked:
        yield _no_longer_checked(change)
    if change.diets:
        yield gettext("no longer known to be suitable: %(diets)s") % {"diets": need_words(change.diets)}
    if change.untrue:
        yield untrue_sentence(change.untrue)


def _no_longer_checked(change: LabelChange) -> str:
    words, total = unchecked_words(change.unchecked), len(asked_of(change.which)) if change.which else 0
    if words == allergen_words(change.unchecked) or not total:
        return gettext("must be checked again for %(allergens)s") % {"allergens": words}
    if len(change.unchecked) >= total:
        return gettext("must be checked again for all %(total)s allergens on the list") % {"total": total}
    facts = {"count": len(change.unchecked), "total": total}
    return gettext("must be checked again for %(count)s of the %(total)s allergens on the list") % facts


def since_sentences(since: SinceQuote) -> list[str]:
    """Write what changed about allergens since the quote was sent; an empty list where nothing did.

    Of a need that many desserts answer, what is not for them is enough: :func:`since_needs` has all of it.
    """
    new = gettext("%(need)s, which is not in the quote. %(answer)s")
    needs = [new % {"need": need.title, "answer": short_answer(need)} for need in since_needs(since)]
    return [*changed_sentences(since.changes), *needs, *_written(since), *_unanswered(since)]


def changed_sentences(changes: Iterable[LabelChange]) -> list[str]:
    """Write for each dessert what it declares today and its quote does not."""
    return [f"{change.name}: {'; '.join(label_change_words(change))}." for change in changes]


def since_needs(since: SinceQuote) -> list[NeedShown]:
    """Write the needs that the quote does not have."""
    return list(map(need_shown, since.needs))


def since_others(since: SinceQuote) -> list[str]:
    """Write what changed besides needs."""
    return [*changed_sentences(since.changes), *_written(since)]


def short_answer(need: NeedShown) -> str:
    """Write whom it is not for, or all that is known of a need where that is one sentence."""
    if not need.lists:
        return need.sentence
    return gettext("Not for them: %(products)s.") % {"products": "; ".join(need.lists[0].dishes)}


def _written(since: SinceQuote) -> list[str]:
    note = [gettext("Allergy note since then: “%(note)s”") % {"note": since.note}] if since.note else []
    return [*traces_sentences(since), *note]


def traces_sentences(since: SinceQuote) -> list[str]:
    """Write what is said about traces today, where the quote says something else."""
    return [gettext("About traces, we now say: “%(text)s”") % {"text": since.traces}] if since.traces else []


def _unanswered(since: SinceQuote) -> list[str]:
    words = gettext("%(name)s wrote, and nobody has recorded a need or that there is none in it: “%(text)s”")
    return [words % {"name": one.by, "text": one.text} for one in since.messages]


#: The caution shown with every list of allergens.
ALLERGEN_CAUTION: Final = _("Allergens come from what you entered for each ingredient: check the suppliers' labels.")

#: Error of the computation about a table -> the page where it can be fixed, if that is not the table itself.
_PAGES: Final = {"no_price_rule": "kitchen-rules", "no_delivery": "kitchen-delivery"}


@dataclass(frozen=True, slots=True)
class ProblemShown:
    """A problem: a sentence, the page where it can be fixed, and the product whose line it is shown at.

    ``words`` are those of its link, where “Fix” says too little.
    """

    sentence: str
    link: str = ""
    product: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class UncheckedShown:
    """A dessert that was not checked for every allergen, and where to look: its ingredients in words."""

    code: str
    name: str
    where: str


@dataclass(frozen=True, slots=True)
class DraftShown:
    """Problems and warnings of a draft in words; templates write the figures."""

    problems: tuple[ProblemShown, ...]
    window: WindowShown | None
    needs: tuple[NeedShown, ...]
    for_every_need: str
    unchecked: tuple[UncheckedShown, ...]
    claims: tuple[str, ...]
    claims_refused: tuple[str, ...]
    note: NoteShown | None
    cautions: tuple[str, ...]
    cold_notes: tuple[ColdNoteShown, ...]
    rules_broken: tuple[ColdNoteShown, ...]

    @property
    def needs_unmet(self) -> tuple[NeedShown, ...]:
        """The guests' needs that some dessert does not serve."""
        return tuple(need for need in self.needs if not need.met)


def draft_shown(found: DraftEstimate, inquiry: Inquiry, *, unsettled: Sequence[str] = ()) -> DraftShown:
    """Write the problems and warnings of a draft; ``unsettled`` are names of what of it breaks the cooling rule."""
    refused = claims_refused(found.claims)
    return DraftShown(
        problems=problems_shown(found.problems),
        window=window_shown(found.window, unsettled=unsettled),
        needs=tuple(map(need_shown, found.needs)),
        for_every_need=every_need_words(found.for_every_need),
        unchecked=tuple(map(_unchecked_shown, found.unchecked)),
        claims=tuple(claim_sentence(claim) for claim in found.claims if claim not in refused),
        note=note_shown(found.note_open),
        claims_refused=tuple(dict.fromkeys(map(claim_sentence, refused))),
        cautions=tuple(_cautions(found, inquiry)),
        cold_notes=cold_notes_shown(note for note in found.cold if not note.breaks_rule),
        rules_broken=cold_notes_shown(note for note in found.cold if note.breaks_rule),
    )


def problems_shown(problems: Sequence[Problem]) -> tuple[ProblemShown, ...]:
    """Write the problems that prevent pricing, each with the page where it can be fixed."""
    if not problems:
        return ()
    in_book = iter(shown_problems(problem for problem in problems if isinstance(problem, BookProblem)))
    return tuple(
        _table_problem(problem)
        if isinstance(problem, TableProblem)
        else ProblemShown((shown := next(in_book)).message, shown.link)
        for problem in problems
    )


#: Problems whose sentence speaks of a Book, in the words of the screens.
_ON_SCREEN: Final = {
    "no_delivery": marked(
        "Delivery is not set up. Enter who drives and what it costs, or choose pickup on the inquiry."
    ),
}


def _table_problem(problem: TableProblem) -> ProblemShown:
    page, words = _PAGES.get(problem.code), _ON_SCREEN.get(problem.code)
    message = gettext(words) if words else problem.message
    return ProblemShown(message, reverse(page) if page else "", problem.product)


def _extra_open(dish: UncheckedDish) -> str:
    """Write what is open of an extra: whether it is food, or which allergens of its label."""
    if not dish.food:
        return gettext("say whether it is food")
    if not dish.answered:
        return gettext("no allergen is answered")
    return gettext("not answered: %(allergens)s") % {"allergens": unchecked_words(dish.codes)}


def _unchecked_shown(dish: UncheckedDish) -> UncheckedShown:
    where = "; ".join(f"{one.name} ({unchecked_words(one.codes)})" for one in dish.ingredients)
    nothing = gettext("no ingredients are entered")
    if dish.code.startswith("extra-"):
        nothing = _extra_open(dish)
    return UncheckedShown(dish.code, dish.name, where or nothing)


def _cautions(found: DraftEstimate, inquiry: Inquiry) -> Iterator[str]:
    if found.workless:
        without = gettext(
            "No work is counted in %(products)s: no step of it, nor of its recipes, has minutes of labor."
        )
        yield without % {"products": display.joined(found.workless)}
    for advice in found.advice:
        yield _advice_sentence(advice, found.lines)
    for leftover in found.leftovers:
        if leftover not in found.slight:
            yield leftover_sentence(leftover, found.currency)
    if found.over_budget_minor:
        over, budget = (display.minor(each, found.currency) for each in (found.over_budget_minor, inquiry.budget_minor))
        yield gettext("%(over)s over the budget of %(budget)s.") % {"over": over, "budget": budget}
    if found.way_unknown:
        yield gettext("Distance and minutes are not entered: delivery is priced as if next door.")


def _advice_sentence(advice: Advice, lines: Iterable[EstimatedLine]) -> str:
    """Write the computation's sentence, with a description of the price rule instead of its code."""
    code = advice.params.get("rule")
    if code is None:
        return advice.message
    fits = next(fits_words(line.rule, line.rule_product) for line in lines if line.rule.code == code)
    return replace(advice, params={**advice.params, "rule": fits}).message


def leftover_sentence(leftover: Leftover, currency: str) -> str:
    """Write how much of the packs of an ingredient is used, and what the rest is worth."""
    packs = display.joined(display.packs(pack.count, pack.size) for pack in leftover.packs)
    bought = gettext("%(ingredient)s: %(packs)s bought, %(used)s of it used; %(worth)s left over.")
    used, worth = display.percent(leftover.used, 0), display.amount(leftover.worth, currency)
    return bought % {"ingredient": leftover.ingredient, "packs": packs, "used": used, "worth": worth}


def fewer_sentence(found: DraftEstimate) -> str:
    """Write of which product one sale multiple less would be enough; empty if of none."""
    fewer = found.fewer
    if fewer is None:
        return ""
    saves = display.amount(fewer.saves, found.currency)
    enough = gettext("%(units)s fewer of %(product)s would still be enough and save %(saves)s.")
    return enough % {"units": fewer.units, "product": fewer.product, "saves": saves}


_BY_RULE: Final = marked("The rule “%(rule)s” asks for a margin of %(margin)s: %(target)s each.")
#: What a price was computed by -> the sentence, where that is not a rule alone.
_BASES: Final = {
    "given": marked("Price override; the rule “%(rule)s” asks for a margin of %(margin)s: %(target)s each."),
    "list": marked("List price; the rule “%(rule)s” asks for a margin of %(margin)s: %(target)s each."),
}


def price_sentence(line: EstimatedLine, currency: str) -> str:
    """Write how the price of one unit was computed."""
    target = display.amount(line.line.target_price, currency)
    margin = display.percent(line.rule.margin)
    facts = {"rule": fits_words(line.rule, line.rule_product), "margin": margin, "target": target}
    return gettext(_BASES.get(line.line.basis, _BY_RULE)) % facts
