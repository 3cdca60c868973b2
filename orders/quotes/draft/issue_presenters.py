"""What stops a draft from being sent, and what to look at first: each one sentence with a link to where it is fixed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.documents.content import QuoteContent
from orders.quotes.cooling.perishables import sources_unshown
from orders.quotes.cooling.presenters import BrokenShown, UnansweredShown, UntimedShown
from orders.quotes.cooling.remark_presenters import RemarkShown
from orders.quotes.day_limits import DayOver
from orders.quotes.draft.estimate import DraftEstimate
from orders.quotes.draft.presenters import ColdNoteShown, DraftShown, fewer_sentence, leftover_sentence
from orders.quotes.models import Quote
from orders.quotes.terms.dates import TermsDates
from orders.quotes.terms.presenters import shortened_words, since_words
from orders.quotes.terms.selectors import over_total, refusal_of
from orders.records.presenters import reason_sentence
from orders.records.presenters import sentence as refusal_sentence


@dataclass(frozen=True, slots=True)
class Issue:
    """A problem or a warning: what it is about, a sentence, and links (words, address) to where it is fixed.

    ``numbers`` are those that fix it when one of them is entered in ``field``. ``saves`` is the sheet's button that
    saves the table and leads to where its links do.
    """

    sentence: str
    links: tuple[tuple[str, str], ...] = ()
    about: str = ""
    field: str = ""
    numbers: tuple[int, ...] = ()
    saves: str = ""


@dataclass(frozen=True, slots=True)
class Issues:
    """Problems stop the quote from being sent, or have to be confirmed then; warnings do not; notes ask for nothing."""

    problems: tuple[Issue, ...]
    warnings: tuple[Issue, ...]
    notes: tuple[Issue, ...] = ()


@dataclass(frozen=True, slots=True)
class CoolingShown:
    """What of a table breaks the cooling rule, cannot be judged, takes long where the rule states no times, may never
    get cold, or is remarked on without a stop.
    """

    measured: Sequence[BrokenShown] = ()
    not_judged: Sequence[UnansweredShown] = ()
    untimed: Sequence[UntimedShown] = ()
    never: Sequence[BrokenShown] = ()
    remarks: Sequence[RemarkShown] = ()

    @property
    def stops(self) -> bool:
        """Whether any of it is such that nothing beside it may read as well."""
        return bool(self.measured or self.not_judged or self.untimed or self.never)


def issues(
    found: DraftEstimate,
    shown: DraftShown,
    cooling: CoolingShown,
    *,
    quote: Quote,
    not_counted: Iterable[tuple[str, str]] = (),
    numbers: Mapping[str, tuple[int, ...]] = MappingProxyType({}),
    day_over: DayOver | None = None,
    dates: TermsDates | None = None,
    before: QuoteContent | None = None,
    sending: bool = False,
) -> Issues:
    """Return the problems and warnings of a draft.

    ``not_counted`` are (id of a field, sentence) of entries that the figures leave out; ``numbers`` are for a field's
    id the numbers that can be entered in it instead. ``before`` is what a revision is compared with. On the page that
    sends the quote (``sending``), claims and the allergy note stand beside what confirms them, and what is wrong with
    cooling or dates stands above the quote: none of it is said a second time here.
    """
    entered = (
        Issue(words, (_fix(f"#{field}"),) if field else (), field=field, numbers=numbers.get(field, ()))
        for field, words in not_counted
    )
    edit = reverse("inquiry-edit", args=[quote.inquiry_id])
    if sending:
        shown, cooling = _beside_cooling(shown, cooling), CoolingShown()
    problems = (*entered, *_stops(found, shown, edit), *_cooling_stops(shown, cooling, quote))
    if not sending:
        problems += (
            *_claims_refused(shown),
            *_note(shown, edit),
            *_day_over(day_over, edit),
            *_disagree(dates, quote, found),
            *_sources(found),
            *_holding(found, quote),
        )
    return Issues(
        (*problems, *_margin(found, quote), *_unchecked(shown)),
        (*_since(dates, before, quote), *_warnings(found, shown, cooling, quote)),
        (*_shortened(dates, quote), *(Issue(leftover_sentence(one, found.currency)) for one in found.slight)),
    )


def _beside_cooling(shown: DraftShown, cooling: CoolingShown) -> DraftShown:
    """Return what a draft shows without what the page that sends it says of cooling above the quote."""
    named = {row.link for row in (*cooling.measured, *cooling.never)}
    broken = (note for note in shown.rules_broken if not all(page in named for _, page in note.pages))
    notes = (note for note in shown.cold_notes if not note.doubts)
    window = None if shown.window and shown.window.link and not shown.window.fits else shown.window
    return replace(shown, rules_broken=tuple(broken), cold_notes=tuple(notes), window=window)


def _day_over(over: DayOver | None, edit: str) -> Iterator[Issue]:
    if over is not None:
        words = gettext("%(sentence)s Choose another day, or confirm it when you send.")
        yield Issue(words % {"sentence": reason_sentence(over.reason)}, (_fix(edit),), gettext("Limit of the day"))


def _sources(found: DraftEstimate) -> Iterator[Issue]:
    """Write which recipes count as safe at room temperature by a source that a quote is not sent with."""
    if found.book is None or found.estimate is None:
        return
    for one in sources_unshown([line.product for line in found.estimate.lines], found.book):
        page = reverse("recipe-edit", args=[one.params["recipe_id"]])
        yield Issue(refusal_sentence(one), (_fix(page),), gettext("Cooling"))


def _holding(found: DraftEstimate, quote: Quote) -> Iterator[Issue]:
    """Write which texts say to keep out of the cold what the quote says to keep cold; who sends knows them."""
    if found.book is None or found.estimate is None:
        return
    refused = import_string(settings.HOLDING_REFUSED)(quote, found.estimate, found.book, at=timezone.now())
    for one in refused:
        page = reverse("product-edit", args=[one.params["product_id"]])
        yield Issue(refusal_sentence(one), (_fix(page),), gettext("Cooling"))


def _disagree(dates: TermsDates | None, quote: Quote, found: DraftEstimate) -> Iterator[Issue]:
    fix = _fix(reverse("quote-terms", args=[quote.pk]))
    for one in dates.contradictions if dates else ():
        yield Issue(refusal_sentence(refusal_of(one)), (fix,), gettext("Dates"))
    for too_much in () if found.total_minor is None else over_total(quote, found.total_minor):
        yield Issue(refusal_sentence(too_much), (fix,), gettext("Payments"))


def _since(dates: TermsDates | None, before: QuoteContent | None, quote: Quote) -> Iterator[Issue]:
    """Write which dates of a revision or a change are others than before."""
    if dates is not None and before is not None:
        due = quote.amends.deposit_due_on if quote.amends else None
        words = since_words(dates, before, deposit_due_on=due)
        if words:
            yield Issue(words, ((gettext("Edit"), reverse("quote-terms", args=[quote.pk])),), gettext("Dates"))


def _shortened(dates: TermsDates | None, quote: Quote) -> Iterator[Issue]:
    if dates is not None and dates.shortened:
        edit = (gettext("Edit"), reverse("quote-terms", args=[quote.pk]))
        yield Issue(shortened_words(dates), (edit,), gettext("Dates"))


def _fix(address: str) -> tuple[str, str]:
    return gettext("Fix"), address


def _stops(found: DraftEstimate, shown: DraftShown, edit: str) -> Iterator[Issue]:
    for problem in shown.problems:
        yield Issue(problem.sentence, (_fix(problem.link),) if problem.link else ())
    window = shown.window
    if window and not window.fits:
        link = (gettext("How it cools"), window.link) if window.link else _fix(edit)
        yield Issue(f"{window.sentence} {window.instead}".strip(), (link,), window.about)
    if found.past:
        yield Issue(gettext("The date and time have passed."), (_fix(edit),), gettext("Time"))


def _cooling_stops(shown: DraftShown, cooling: CoolingShown, quote: Quote) -> Iterator[Issue]:
    """Write what breaks the cooling rule; products of one rule together, with one page for what is measured instead."""
    record = (gettext("Record what is measured"), reverse("quote-cooling", args=[quote.pk]))
    open_rows = [row for row in cooling.measured if not row.stands]
    missing = {row.link for row in open_rows}
    for note in shown.rules_broken:
        pages = note.pages if len(note.pages) == 1 else ()
        if any(page in missing for _, page in note.pages):
            before = gettext("%(sentence)s Record what is measured instead before you send.")
            yield Issue(before % {"sentence": note.sentence}, (*pages, record), gettext("Cooling"))
        else:
            yield Issue(note.sentence, pages, gettext("Cooling"))
    for row in cooling.never:
        # Where the window has no time that works, its own sentence names the product already.
        if row.batch or not shown.window or shown.window.fits:
            yield Issue(row.sentence, ((gettext("How it cools, and what helps"), row.link),), gettext("Cooling"))
    named = {page for note in shown.rules_broken for _, page in note.pages}
    for row in open_rows:
        if row.override or row.link not in named:
            links = ((gettext("How it cools"), row.link), record)
            yield Issue(f"{_row_words(row)}{_not_recorded(row)}", links, gettext("Cooling"))


def _row_words(row: BrokenShown) -> str:
    """Write what is the matter with an item; where its product's own sentence does so already, its name alone."""
    if row.batch:
        batch = gettext("%(name)s, as a batch for this order: %(verdict)s")
        return f"{batch % {'name': row.name, 'verdict': row.verdict}} "
    return f"{row.name}: {row.verdict} " if row.open else f"{row.name}: "


def _not_recorded(row: BrokenShown) -> str:
    if row.override:
        return gettext(
            "The steps or the cooling changed since you recorded what is measured instead. Check the record."
        )
    return gettext("Record what is measured instead, and by whom, before you send.")


def _claims_refused(shown: DraftShown) -> Iterator[Issue]:
    for claim in shown.claims_refused:
        change = gettext("%(claim)s Change these words before you send.")
        yield Issue(change % {"claim": claim}, about=gettext("Allergens"))


def _note(shown: DraftShown, edit: str) -> Iterator[Issue]:
    if shown.note is None:
        return
    about = gettext("Allergy note")
    if shown.note.needs:
        words = gettext("“%(note)s”. Not among the allergies and diets: %(needs)s.")
        links = ((gettext("Add these"), f"{edit}?needs=note#id_allergies"),)
    else:
        words, links = gettext("“%(note)s”. No allergy or diet is checked for it."), (_fix(f"{edit}#id_allergies"),)
    yield Issue(words % {"note": shown.note.note, "needs": shown.note.needs}, links, about)


def _margin(found: DraftEstimate, quote: Quote) -> Iterator[Issue]:
    if not found.below_floor or quote.override_reason:
        return
    below = gettext("%(margin)s is below your floor of %(floor)s. You will need to record a reason to send it.")
    page = f"{reverse('quote-price-check', args=[quote.pk])}#what-if"
    yield Issue(below % _margins(found), ((gettext("What if"), page),), gettext("Margin"), saves="what-if")


def _margins(found: DraftEstimate) -> dict[str, str]:
    margin = found.estimate.totals.goods_margin if found.estimate else None
    shown = gettext("None") if margin is None else display.percent(margin)
    return {"margin": shown, "floor": display.percent(found.floor)}


def _unchecked(shown: DraftShown) -> Iterator[Issue]:
    if shown.unchecked:
        names = "; ".join(dish.name for dish in shown.unchecked)
        words = gettext("Not checked for every allergen: %(products)s.") % {"products": names}
        yield Issue(words, ((gettext("Details"), "#allergies"),), gettext("Allergens"))


def _warnings(found: DraftEstimate, shown: DraftShown, cooling: CoolingShown, quote: Quote) -> Iterator[Issue]:
    if found.below_floor and quote.override_reason:
        below = gettext("%(margin)s is below your floor of %(floor)s. Your reason: “%(reason)s”.")
        yield Issue(below % {**_margins(found), "reason": quote.override_reason}, about=gettext("Margin"))
    for row in cooling.measured:
        if row.stands and row.override:
            stands = gettext("%(words)s%(label)s: “%(measured)s”, by %(who)s.")
            facts = {
                "words": _row_words(row),
                "label": row.recorded_as,
                "measured": row.override.measured,
                "who": row.override.measured_by,
            }
            links = ((gettext("How it cools"), row.link), (gettext("Edit"), reverse("quote-cooling", args=[quote.pk])))
            yield Issue(stands % facts, links, gettext("Cooling"))
    for one in cooling.not_judged:
        checked = gettext("Nothing checks how %(name)s cools. %(missing)s")
        yield Issue(checked % {"name": one.name, "missing": one.sentence}, ((one.words, reverse(one.page)),))
    for slow in cooling.untimed:
        yield Issue(slow.sentence, ((gettext("How it cools"), slow.link),), gettext("Cooling"))
    for remark in cooling.remarks:
        yield Issue(remark.sentence, remark.links, gettext("Cooling"))
    yield from (Issue(claim, about=gettext("Allergens")) for claim in shown.claims)
    yield from map(Issue, _pieces(found))
    yield from map(Issue, shown.cautions)
    yield from map(_cold_issue, shown.cold_notes)
    if fewer := fewer_sentence(found):
        yield Issue(fewer)


def _pieces(found: DraftEstimate) -> Iterator[str]:
    """Write how many pieces are missing for the guests, and how shares are read that are not a whole."""
    if found.estimate and found.short:
        missing = ngettext(
            "%(n)s piece short of the %(asked)s planned.", "%(n)s pieces short of the %(asked)s planned.", found.short
        )
        yield missing % {"n": display.plain(found.short), "asked": display.plain(found.asked)}
    if found.shares and found.by_hand:
        if found.asked and found.asked > found.by_hand:
            yield _split_rest(found.by_hand, found.asked)
    elif found.shares:
        whole = sum(found.shares)
        parts = display.joined(display.rate(share / whole, 1) for share in found.shares)
        yield gettext("Shares add up to %(sum)s: split as %(parts)s.") % {"sum": display.rate(whole, 1), "parts": parts}


def _split_rest(by_hand: int, asked: int) -> str:
    words = ngettext(
        "%(n)s piece is entered by hand; “Split by percentage” splits the other %(rest)s.",
        "%(n)s pieces are entered by hand; “Split by percentage” splits the other %(rest)s.",
        by_hand,
    )
    return words % {"n": display.plain(by_hand), "rest": display.plain(asked - by_hand)}


def _cold_issue(note: ColdNoteShown) -> Issue:
    return Issue(note.sentence, note.pages)
