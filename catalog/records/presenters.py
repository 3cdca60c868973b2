"""The catalog's refusals in sentences, and how parameters are written into a sentence."""

import string
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.errors import CatalogError
from catalog.records.reasons import Reason

Sentences = Mapping[str, str]
#: Format of a parameter, as in ``{users:listed}`` -> function that writes its value.
Writers = Mapping[str, Callable[[Any], str]]

#: Most names in a sentence; the rest are counted.
NAMED: Final = 5

#: Code of a refusal, or of a reason in one of its parameters -> its words.
SENTENCES: Final[Sentences] = {
    "catalog": marked("The catalog cannot do that."),
    "changed_meanwhile": marked(
        "{what} was changed by somebody else in the meantime. Open it again and repeat your change."
    ),
    "overtaken": marked("{what} was saved by somebody else in the meantime. Look at it again before you save yours."),
    "in_use": marked("{what} is used by {users:counted}. Remove it there first, or mark it as no longer used."),
    "cannot_price": marked("The catalog has an error that stops every price: {problem}"),
    "pack_dates": marked("{size} has a price from {day:day_alone} already. Choose a later day, or correct that price."),
    "cannot_undo": marked(
        "This cannot be undone any more: it was undone already, something else has its name by now, or what it needs"
        " was deleted too. Add it again."
    ),
    "catalog_not_empty": marked(
        "This kitchen has a catalog already, which the file would replace. Bring the file into an empty kitchen, or"
        " import spreadsheets."
    ),
    "touches_food": marked("{what} is in {users:counted}, so it touches the food. Remove it from the recipe first."),
    "source_missing": marked(
        "{what} holds {holds:perishables}. Enter under “Source” what shows that it is safe at room temperature, or"
        " clear the check mark and state how it cools."
    ),
    "source_too_short": marked(
        "{what} holds {holds:perishables}, and its source does not show that it is safe at room temperature."
        " {lacks:source_lacks} Or clear the check mark."
    ),
    "rule_for_hot": marked(
        "“{step}” leaves it at {leaves_c:warm}, so it is not made from ingredients at room temperature. Choose “as its"
        " steps say” or “as cooked food”, or correct “Leaves at” of that step."
    ),
    "leaves_colder": marked(
        "“Leaves at” of “{step}” is {stated_c:warm}, and what goes in gives {parts_c:warm}: {hot:joined} goes in hot."
        " Measure it at the end of that step and enter that, or clear it."
    ),
    "words_unproven": marked(
        "{claims:claims} Customers rely on it. Take these words out and write what you do handle, or answer for each"
        " of them by its label."
    ),
    "price_list_not_ready": marked("Nothing was changed: {why}"),
    "spreadsheet_not_ready": marked("Nothing was changed: {why}"),
    "currency_locked": marked("The currency has to stay {currency}: quotes or other documents are written in it."),
    "rate_in_force": marked(
        "A rate of {what} that has begun cannot be changed: amounts were taxed with it. Add the right rate"
        " from its first day."
    ),
    "too_many_tries": marked("That was tried too often. Wait a while, then try again."),
    # What was changed or is used.
    "the_kind": marked("The {kind}"),
    "the_hours": marked("The opening hours"),
    "the_usual": marked("The usual desserts"),
    "the_table": marked("The table of {what}"),
    "the_terms": marked("The terms of {what}"),
    "the_cooling": marked("What is measured for {what}"),
    "the_reminders": marked("The reminders"),
    "the_profile": marked("The kitchen's profile"),
    "chosen": marked("A {kind} chosen here"),
    "row": marked("“{name}”"),
    "part": marked("The part {name}"),
    "this_work": marked("This work"),
    # What uses it.
    "user": marked("the {kind} {name}"),
    "names": marked("{names:listed}"),
    "monthly_figure": marked("the monthly figure {name}"),
    "cancellation_charge": marked("the cancellation charge"),
    "delivery": marked("delivery"),
    "added_meanwhile": marked("something that was added meanwhile"),
    "of_the_catalog": marked("other parts of the catalog"),
    "documents": marked("documents that were made with it"),
    "price_lists": marked("price lists it sent"),
    # What stops every price.
    "no_kitchen": marked("The kitchen is not set up yet. Fill in its profile first."),
    "being_changed": marked("it is being changed at this moment. Try again."),
    "book_problem": marked("{where}: {message}"),
    "at_catalog": marked("The catalog"),
    "at_kitchen": marked("Kitchen"),
    "at_overhead": marked("Overhead"),
    "at_delivery": marked("Delivery"),
    "at_ingredients": marked("Ingredient {name}"),
    "at_recipes": marked("Recipe {name}"),
    "at_products": marked("Product {name}"),
    "at_price_rules": marked("Price rule {name}"),
    "at_roles": marked("Role {name}"),
    "at_stations": marked("Station {name}"),
    "at_taxes": marked("Tax category {name}"),
    "at_lines": marked("{owner}, line {number}"),
    "at_packs": marked("{owner}, pack {number}"),
    "at_parts": marked("{owner}, part {number}"),
    "at_fill": marked("{owner}, fill {number}"),
    "at_packaging": marked("{owner}, packaging, line {number}"),
    "at_labour": marked("{owner}, labor, line {number}"),
    "at_station_time": marked("{owner}, station time, line {number}"),
    "gone": marked("{name} is no longer there."),
    "needs_itself": marked("{name} would need itself. Remove one of its lines."),
    # Why nothing is done with a price list.
    "no_supplier": marked("no supplier is named."),
    "no_rows_ready": marked("no row of the list changes a price."),
    "list_changed": marked("the list was changed since this page was opened. Look at it again."),
    "list_waiting": marked("the list is being read."),
    "list_read": marked("the list is not imported."),
    "list_unreadable": marked("the list could not be read."),
    "list_applied": marked("the list is imported already."),
    "list_dropped": marked("the list was discarded."),
    "file_deleted": marked("the file of the list was deleted. Upload it again."),
    "imported_before": marked("this import was made before imports could be undone. Change its prices one by one."),
    "ingredient_gone": marked("{name} was deleted since the list was read. Upload it again."),
    # Why nothing is done with a spreadsheet.
    "file_nothing": marked("no row of the file is ready to import."),
    "file_changed": marked("the file was changed since this page was opened. Look at it again."),
    "file_overtaken": marked(
        "something in the kitchen was changed since the file was compared with it. It is compared again: look at what"
        " would happen now, then import."
    ),
    "file_waiting": marked("the file is being read."),
    "file_choose": marked("its columns are not chosen yet."),
    "file_read": marked("the file is not imported."),
    "file_unreadable": marked("the file could not be read."),
    "file_applied": marked("the file was imported. Undo the import first."),
    "file_dropped": marked("the file was discarded."),
    "file_gone": marked("the file was deleted. Upload it again."),
    "imported_already": marked("the list was imported. Undo the import first."),
}


def sentence(error: CatalogError) -> str:
    """Write what was refused, and what works instead."""
    return reason_sentence(error.reason)


def reason_sentence(reason: Reason, sentences: Sentences = SENTENCES, writers: Writers | None = None) -> str:
    """Write a reason with the sentence of its code; a parameter may be a reason itself."""
    return _Sentence(sentences, writers or {}).format(gettext(sentences[reason.code]), **reason.params)


def counted(names: Sequence[str]) -> str:
    """Write names one after the other, and count those beyond the first few."""
    shown = _between(names).join(names[:NAMED])
    if len(names) <= NAMED:
        return shown
    return gettext("%(names)s and %(count)s more") % {"names": shown, "count": len(names) - NAMED}


def _between(names: Sequence[str]) -> str:
    """Return what stands between names: a semicolon if one has a comma."""
    return "; " if any(", " in name for name in names[:NAMED]) else ", "


def listed(names: Sequence[str]) -> str:
    """Write names as a sentence does: milk, eggs and tree nuts; those beyond the first few are counted."""
    shown = list(names[:NAMED])
    if len(names) > NAMED:
        shown.append(gettext("%(count)s more") % {"count": len(names) - NAMED})
    if len(shown) < 2:
        return "".join(shown)
    return gettext("%(names)s and %(last)s") % {"names": _between(names).join(shown[:-1]), "last": shown[-1]}


#: What asks for the cold -> its words in a sentence.
_PERISHABLES: Final = {
    "milk": marked("milk"),
    "egg": marked("egg"),
    "cream": marked("cream"),
    "custard": marked("custard"),
    "gelatin": marked("gelatin"),
    "milk_unchecked": marked("an ingredient not checked for milk"),
    "egg_unchecked": marked("an ingredient not checked for egg"),
    "both_unchecked": marked("an ingredient not checked for milk or egg"),
}


def perishables_words(holds: Sequence[str]) -> str:
    """Write what asks for the cold: milk, egg and an ingredient not checked for egg."""
    both = {"milk_unchecked", "egg_unchecked"}
    codes = [one for one in holds if one not in both] + ["both_unchecked"] if both <= set(holds) else holds
    return listed([gettext(_PERISHABLES[code]) for code in codes])


_AGAINST: Final = (
    ("contains", marked("It is in: %(names)s.")),
    ("may", marked("It may be in: %(names)s.")),
    ("unchecked", marked("Not checked for it: %(names)s.")),
)


def claims_words(claims: Sequence[Any]) -> str:
    """Write for each claim of the kitchen's words about traces what does not bear it out."""
    return " ".join(f"{_how_false(claim)} {_against(claim)}".strip() for claim in claims)


def _how_false(claim: Any) -> str:
    false = claim.contains or claim.may
    words = gettext("“%(words)s” is not so.") if false else gettext("“%(words)s” is not proven.")
    return words % {"words": claim.words}


def _against(claim: Any) -> str:
    """Write what is against a claim; names have commas of their own, so semicolons part them."""
    found = ((words, getattr(claim, name)) for name, words in _AGAINST)
    return " ".join(gettext(words) % {"names": _parted(names)} for words, names in found if names)


def _parted(names: Sequence[str]) -> str:
    more = [gettext("and %(count)s more") % {"count": len(names) - NAMED}] if len(names) > NAMED else []
    return "; ".join([*names[:NAMED], *more])


def users_words(users: Sequence[Reason | str]) -> str:
    """Write what uses a row as a part of a sentence; empty when nothing does."""
    return counted([reason_sentence(user) if isinstance(user, Reason) else user for user in users])


#: Formats of every sentence. Those that write by the kitchen's locale are added at the start (`catalog/apps.py`): they
#: are above this package.
WRITERS: Final[dict[str, Callable[[Any], str]]] = {
    "claims": claims_words,
    "counted": counted,
    "listed": listed,
    "perishables": perishables_words,
    # Titles and sources of food-safety rules: `costing` marks them, and does not translate.
    "official": gettext,
}


class _Sentence(string.Formatter):
    """Fills a sentence: reasons become words first, then each parameter is written in its format."""

    def __init__(self, sentences: Sentences, writers: Writers) -> None:
        self.sentences, self.writers = sentences, {**WRITERS, **writers}

    def get_field(self, field_name: str, args: Any, kwargs: Any) -> Any:
        value, used = super().get_field(field_name, args, kwargs)
        return self._in_words(value), used

    def format_field(self, value: Any, format_spec: str) -> str:
        writer = self.writers.get(format_spec)
        return writer(value) if writer else str(super().format_field(value, format_spec))

    def _in_words(self, value: Any) -> Any:
        if isinstance(value, Reason):
            return self.format(gettext(self.sentences[value.code]), **value.params)
        return [self._in_words(one) for one in value] if isinstance(value, list | tuple) else value
