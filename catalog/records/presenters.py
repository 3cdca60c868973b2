"""The catalog's refusals in sentences, and how parameters are written into a sentence."""

import string
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from django.utils.translation import gettext

from catalog.records.errors import CatalogError
from catalog.records.reasons import Reason

Sentences = Mapping[str, str]
#: Format of a parameter, as in ``{users:listed}`` -> function that writes its value.
Writers = Mapping[str, Callable[[Any], str]]

#: Most names in a sentence; the rest are counted.
NAMED: Final = 5

#: Code of a refusal, or of a reason in one of its parameters -> its words.
SENTENCES: Final[Sentences] = {
    "catalog": "The catalogue cannot do that.",
    "changed_meanwhile": "{what} was changed by somebody else meanwhile. Open it again and repeat your change.",
    "overtaken": "{what} was saved by somebody else meanwhile. Look at it again before you save yours.",
    "in_use": "{what} is used by {users:counted}. Take it out there first, or mark it as no longer used.",
    "cannot_price": "The catalogue has an error that stops every price: {problem}",
    "pack_dates": "{size} has a price from {day:day_alone} already. Choose a later day, or end that price first.",
    "price_list_not_ready": "This price list cannot be taken over: {why}",
    "words_unproven": (
        "{claims:claims} Customers rely on it. Take these words out and write what you do handle, or answer for each "
        "of them by its label."
    ),
    "currency_locked": "The currency stays {currency}: quotes or other documents are written in it.",
    "rate_in_force": (
        "A rate of {what} that has begun stays: amounts were taxed with it. Add the right rate from its first day."
    ),
    "too_many_tries": "That was tried too often. Wait a while, then try again.",
    # What was changed or is used.
    "the_kind": "The {kind}",
    "the_hours": "The opening hours",
    "the_table": "The table of {what}",
    "the_terms": "The terms of {what}",
    "the_cooling": "What is measured for {what}",
    "the_profile": "The kitchen's profile",
    "chosen": "A {kind} chosen here",
    "row": "“{name}”",
    "part": "The part {name}",
    "this_work": "This work",
    # What uses it.
    "user": "the {kind} {name}",
    "names": "{names:listed}",
    "monthly_figure": "the monthly figure {name}",
    "delivery": "delivery",
    "added_meanwhile": "something that was added meanwhile",
    "of_the_catalog": "other parts of the catalogue",
    "documents": "documents that were made with it",
    "price_lists": "price lists it sent",
    # What stops every price.
    "no_kitchen": "The kitchen is not set up yet. Fill in its profile first.",
    "being_changed": "it is being changed at this moment. Try again.",
    "book_problem": "{where}: {message}",
    "at_catalog": "The catalogue",
    "at_kitchen": "Kitchen",
    "at_overhead": "Overhead",
    "at_delivery": "Delivery",
    "at_ingredients": "Ingredient {name}",
    "at_recipes": "Recipe {name}",
    "at_products": "Product {name}",
    "at_price_rules": "Price rule {name}",
    "at_roles": "Role {name}",
    "at_stations": "Station {name}",
    "at_taxes": "Tax category {name}",
    "at_lines": "{owner}, line {number}",
    "at_packs": "{owner}, pack {number}",
    "at_parts": "{owner}, part {number}",
    "at_fill": "{owner}, fill {number}",
    "at_packaging": "{owner}, packaging, line {number}",
    "at_labour": "{owner}, labour, line {number}",
    "at_station_time": "{owner}, station time, line {number}",
    "gone": "{name} is no longer there.",
    "needs_itself": "{name} would need itself. Take one of its lines out.",
    # Why a price list cannot be imported.
    "no_supplier": "no supplier is named.",
    "rows_with_errors": "{count} of its rows have errors. Mend the file and upload it again.",
    "list_waiting": "it is being read.",
    "list_read": "it is ready to check.",
    "list_unreadable": "it could not be read.",
    "list_applied": "it is taken over.",
    "list_dropped": "it is dropped.",
    "ingredient_gone": "{name} was deleted since it was read. Upload the list again.",
    "imported_already": "it was taken over already. Change single prices on the ingredients' pages.",
}


def sentence(error: CatalogError) -> str:
    """Write what was refused, and what works instead."""
    return reason_sentence(error.reason)


def reason_sentence(reason: Reason, sentences: Sentences = SENTENCES, writers: Writers | None = None) -> str:
    """Write a reason with the sentence of its code; a parameter may be a reason itself."""
    return _Sentence(sentences, writers or {}).format(gettext(sentences[reason.code]), **reason.params)


def counted(names: Sequence[str]) -> str:
    """Write names one after the other, and count those beyond the first few."""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more


def listed(names: Sequence[str]) -> str:
    """Write names as a sentence does: milk, eggs and tree nuts; those beyond the first few are counted."""
    shown = list(names[:NAMED])
    if len(names) > NAMED:
        shown.append(f"{len(names) - NAMED} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


_AGAINST: Final = (("contains", "It is in"), ("may", "It may be in"), ("unchecked", "Not checked for it"))


def claims_words(claims: Sequence[Any]) -> str:
    """Write for each claim of the kitchen's words about traces what does not bear it out."""
    return " ".join(f"“{claim.words}” is not so. {_against(claim)}" for claim in claims)


def _against(claim: Any) -> str:
    """Write what is against a claim; names have commas of their own, so semicolons part them."""
    found = ((words, getattr(claim, name)) for name, words in _AGAINST)
    return " ".join(f"{words}: {_parted(names)}." for words, names in found if names)


def _parted(names: Sequence[str]) -> str:
    more = f"; and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return "; ".join(names[:NAMED]) + more


def users_words(users: Sequence[Reason | str]) -> str:
    """Write what uses a row as a part of a sentence; empty when nothing does."""
    return counted([reason_sentence(user) if isinstance(user, Reason) else user for user in users])


#: Formats of every sentence. Those that write by the kitchen's locale are added at the start (`catalog/apps.py`): they
#: are above this package.
WRITERS: Final[dict[str, Callable[[Any], str]]] = {"claims": claims_words, "counted": counted, "listed": listed}


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
