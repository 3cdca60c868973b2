"""The English sentences of errors and warnings: one table per kind of document, by reason.

A sentence is a template filled from the error's `params`. A few of its words are derived from them here: `name` (which
number, and whose), `allowed` (a range in words), `choices`, and the like. Sentences in another language can be written
from the same `params`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from costing.contract.errors import Param, Params
from costing.contract.marks import marked

DOCUMENT: Mapping[str, str] = {
    "not_utf8": marked("The {document} is not UTF-8 text (byte {byte}). Save it as UTF-8."),
    "not_json": marked("The {document} cannot be read as JSON: {problem}. Correct it there."),
    "too_deep": marked("The {document} is nested deeper than {levels} levels. Flatten it."),
    "place_too_deep": marked("This is nested deeper than {levels} levels. Flatten it."),
    "key_twice": marked("“{key}” stands twice in one object. Keep one of them."),
    "unknown_key": marked("“{key}” is not a key that belongs here. Use only {choices}."),
    "missing_key": marked("“{key}” is missing here. Add it."),
    "wrong_type": marked("{place} is not {type_words}. Write it as {type_words}."),
    "not_a_choice": marked("{place} is none of {choices}. Use one of them."),
    "other_text": marked("{place} is not “{text}”. Write exactly that."),
    "not_decimal": marked(
        "{place} is not written as an exact decimal in quotes, such as 12.50, without exponent or commas. Correct it."
    ),
    "not_currency": marked("{place} is not written as a currency code of three capitals. Correct it."),
    "not_date": marked("{place} is not written as a day, such as 2027-02-06. Correct it."),
    "no_such_day": marked("{place} is not a day of the calendar. Write it like 2027-02-06."),
    "empty_list": marked("{place} is empty. Give at least one entry."),
    "empty_text": marked("{place} is empty. Fill it in."),
    "too_long": marked("{place} is longer than {most} characters. Shorten it."),
    "too_small": marked("{place} is below {least}. Use a larger number."),
    "too_large": marked("{place} is above {most}. Use a smaller number."),
    "names_nothing": marked("This line names neither an ingredient nor a recipe. Add one of the two."),
    "names_two": marked("{place} cannot stand beside “recipe”. Name an ingredient or a recipe, not both."),
    "out_of_range": marked("{name} is {value}. It has to be {allowed}."),
    "finer_than_minor": marked("{name} is {value}, finer than this currency goes. Write it with {decimals}."),
}
"""Faults of any document: how it is written, its keys and types, its numbers."""

BOOK: Mapping[str, str] = {
    "no_such_currency": marked(
        "“{currency}” is not a currency of ISO 4217 with a minor unit. Use a code such as EUR or USD."
    ),
    "two_rates": marked("The tax “{tax}” has two rates from {day}. Keep one of them, or change the date."),
    "code_twice": marked("The code “{code}” stands twice in this list. Give one another code."),
    "unknown_code": marked("There is no {kind} with the code “{code}” in the Book. Correct the code or add it."),
    "unknown_part": marked(
        "The ingredient “{ingredient}” has no part “{part}” (its parts: {choices}). Use one of them or add it."
    ),
    "only_counted": marked(
        "“{ingredient}” is only counted, so it cannot go into a recipe. Use it as packaging, or give it the base g."
    ),
    "mass_needed": marked("“{measure}” is {kind_words}, and a mass is needed. Write grams."),
    "count_needed": marked("“{measure}” is {kind_words}, but {ingredient} is only counted. Write it in each."),
    "no_density": marked("“{measure}” needs the density of {ingredient}. Add it, or write grams."),
    "no_part_density": marked(
        "“{measure}” needs the density of the part “{part}” of {ingredient}. Add it, or write grams."
    ),
    "no_piece_weight": marked("“{measure}” needs the grams of one piece of {ingredient}. Add it, or write grams."),
    "no_part_piece_weight": marked(
        "“{measure}” needs the grams of one piece of the part “{part}” of {ingredient}. Add it, or write grams."
    ),
    "recipe_cycle": marked("This recipe needs itself: {loop}. Take one of these lines out."),
    "steps_disagree": marked("The steps of “{code}” do not make its {what}. Make the two agree, or leave one out."),
    "stands_without_leaving": marked(
        "A vessel and an ice bath are for a step that leaves hot. Write leaves_c, or take this out."
    ),
    "stands_in_product": marked("A product cools in its mold, a recipe in a vessel. Take this out."),
    "no_such_vessel": marked("No vessel is called “{vessel}”. Add it to vessels."),
    "vessels_without_vessel": marked("Write in which vessel it stands, or take this out."),
    "bath_end_without_bath": marked("This ends an ice bath, and there is none. Write ice_bath, or take this out."),
    "bath_ends_twice": marked("An ice bath ends at a temperature or after a time. Take bath_to_c or bath_min out."),
    "stirred_without_bath": marked("Stirring counts in an ice bath alone. Write ice_bath, or take this out."),
    "vessel_sizes": marked("“{vessel}” needs a height, and either a diameter or a length and a width."),
    "recipe_takes": marked("A recipe's lines say what goes in. Take this out, or write it at a product's step."),
    "takes_other": marked("“{recipe}” is not in this product's fill. Correct the code or add it to the fill."),
    "taken_twice": marked("“{recipe}” is taken by an earlier step already. Keep one of them."),
    "takes_nothing": marked("This says how something is taken. Write in takes what, or take this out."),
    "waiting_leaves": marked(
        "This step waits and cools. Write how warm it leaves at the step before it, the one that ends warm."
    ),
    "no_such_mold": marked("No mold is called “{mold}”. Add it to {molds_key}."),
    "answered_twice": marked(
        "“{code}” stands among the allergens of “{ingredient}” and among its answers. Leave one of them out."
    ),
    "composition_sum": marked(
        "The composition of “{ingredient}” adds up to {sum}%, and should make about 100%. Correct it:"
        " what a label does not name is mostly water."
    ),
    "station_and_carrier": marked("A monthly cost names a station when, and only when, a station carries it."),
    "not_derived": marked("The monthly figures give {rate} for {what}. Write that, or state the rate."),
    "no_weekday": marked("A weekday is a number from 0, Monday, to 6, Sunday."),
    "closes_first": marked("The closing time has to be later than the opening time."),
    "closed_twice": marked("{day} is closed twice. Keep one of them."),
    "closed_and_open": marked("{day} is closed and has hours of its own. Keep one of them."),
    "no_clock": marked("A time is written like 07:30."),
    "zoned_clock": marked("A time is written like 07:30, without a time zone."),
    "limit_and_source": marked("A limit of time out of the cold is written with its source, or both are left out."),
    "no_time_zone": marked("Write a time zone such as Europe/Berlin."),
    "more_out": marked(
        "{count} of “{station}” are out of order, and there are {alike}. Lower the one or raise the other."
    ),
    "until_first": marked("The end of a time out of order has to be later than its beginning."),
    "no_moment": marked("Write a date and a time such as 2027-02-06T08:00, without a time zone."),
    "no_mold_stated": marked("“{product}” names no mold. Name one, or take this out."),
    "no_such_step": marked(
        "There is no step {number}: it has {steps}. Use the number of one, from 1, or take this out."
    ),
    "mold_free_and_away": marked(
        "A mold that leaves with the customer is free after no step. Take one of the two out."
    ),
    "back_without_leaving": marked("Only a mold that leaves comes back. Write mold_leaves, or take this out."),
    "vehicles_disagree": marked("vehicle_cold is true when, and only when, every one of the vehicles is cold."),
    "cancellation_days": marked("Rows of a cancellation table begin with the most days, each number of days once."),
    "cancellation_falls": marked("What is kept of a canceled order never falls as the event comes nearer."),
    "no_cancellation_tax": marked("There is no tax with the code “{tax}”. Add it, or leave cancellation_tax out."),
    "payment_days": marked("Payments before the event begin with the most days, each number of days once."),
    "payment_twofold": marked("A payment is a share or an amount. Take one of the two out."),
    "payment_takes_all": marked(
        "Only the last payment takes all that is left. Write a share or an amount here, or take out what follows."
    ),
    "payments_above": marked(
        "The deposit and the payments add up to more than 100%. Lower this share, or leave it out for all that is left."
    ),
    "payment_days_after": marked(
        "Payments after the invoice begin with the fewest days, each number of days once, all below balance_days."
    ),
    "payment_of_nothing": marked("Write a share or an amount. What is left of the balance is due after balance_days."),
    "payments_after_above": marked(
        "These payments are all of the balance or more. Lower this share: something is left for balance_days."
    ),
    "no_iban": marked("This is no IBAN, or a digit is wrong. Write it without spaces, and compare each digit."),
    "no_bic": marked("A BIC has 8 or 11 letters and digits. Write it in capitals, without spaces."),
    "no_routing_number": marked(
        "This is no routing number, or a digit is wrong. Write its nine digits without spaces, and compare each."
    ),
    "no_account_number": marked("An account number has 4 to 17 digits. Write them without spaces."),
    "no_payment_page": marked(
        "Write a complete address that begins with https://, with nothing in braces but {{amount}} and {{reference}}."
    ),
    "bank_needs": marked("This needs {needed} too. Write it, or take this out."),
    "source_says_nothing": marked("Write whose limit this is, and where it stands: two words."),
    "no_locale": marked("Write a locale such as en_US."),
    "kept_beside": marked("Something that quotes or orders still name would no longer fit beside this Book: {problem}"),
    "unstorable": marked("This text holds a character that cannot be stored. Take it out."),
    "name_twice": marked("“{name}” stands twice in {kind}. Keep one of them."),
    "no_pack_in_force": marked("{ingredient} has no pack with a price on {day}. Add one to the Book."),
    "no_tax_in_force": marked("The tax “{tax}” has no rate on {day}. Add one to the Book."),
}
"""Faults of a Book, and what an order needs that it lacks. Unreadable measures have the sentences of their errors."""

BRIEF: Mapping[str, str] = {
    "no_lines": marked("The Brief has no lines. Add at least one product."),
    "unknown_product": marked(
        "There is no product with the code “{product}” in the Book. Correct the code or add the product."
    ),
    "product_not_in_book": marked("There is no product with the code “{product}” in the Book."),
    "product_twice": marked("“{product}” stands on two lines. Put all its units on one."),
    "units_not_positive": marked("{units} units cannot be ordered. Ask for one or more."),
    "not_a_multiple": marked("{product} is sold in multiples of {multiple}, not {units}. Ask for {below} or {above}."),
    "not_a_multiple_of": marked("“{product}” is sold in multiples of {multiple}, not {units}. Ask for such a number."),
    "no_price_rule": marked(
        "No price rule fits {product} in this order. Add one to the Book, such as one for all products."
    ),
    "unknown_code": BOOK["unknown_code"],
    "tax_not_in_book": marked("There is no tax with the code “{code}”."),
    "no_delivery": marked(
        "The Book says nothing of delivery. Add its rates to the Book, or let the order be collected."
    ),
    "delivery_not_in_book": marked("The Book says nothing of delivery. Add its rates to the Book."),
}
"""Faults of a Brief; those with `not_in_book` are also reported when the Book itself has errors."""

ESTIMATE: Mapping[str, str] = {
    "below_floor": marked(
        "The goods earn less than the floor margin of {margin_percent}. The owner has to agree to it."
    ),
    "below_target": marked(
        "{product}: the {basis} price misses the margin of {margin_percent} the rule “{rule}” asks for."
    ),
    "more_costs_less": marked("{product}: {more} units would be charged less than {units}."),
    "leftover": marked("{ingredient}: more than a quarter of what is paid for the packs is left over."),
}
"""Warnings of an Estimate."""

_TYPES = {
    "object": marked("an object"),
    "array": marked("a list"),
    "string": marked("text in quotes"),
    "integer": marked("a whole number without quotes"),
    "boolean": marked("true or false"),
}
_KINDS = {"mass": marked("a mass"), "volume": marked("a volume"), "count": marked("a count")}
RANGES: Mapping[str, str] = {
    "share": marked("above 0 and at most 1"),
    "margin": marked("at least 0 and below 1"),
    "discount": marked("between 0 and 1"),
    "rate": marked("0 or more"),
    "above_zero": marked("above zero"),
    "not_negative": marked("zero or more"),
}
"""Name of a range -> its words; a range with other bounds brings its own."""


def sentence(
    templates: Mapping[str, str], reason: str, params: Params, translated: Callable[[str], str] = marked
) -> str:
    """Write the sentence of an error or a warning, in English unless a translation is given.

    Parameters
    ----------
    templates : mapping of str to str
        The table of the document's kind.
    reason : str
        Which sentence; the table for all documents is used where the first table has none.
    params : mapping
        The sentence's parameters.
    translated : callable, optional
        Gives the translation of a template and of the words put into it.

    Raises
    ------
    KeyError
        When no table has the reason, or the sentence asks for something that `params` do not hold.
    """
    return translated(templates.get(reason) or DOCUMENT[reason]).format_map(_Words(params, translated))


class _Words(dict[str, object]):
    """The parameters of a sentence, and the words derived from them on demand."""

    def __init__(self, params: Params, translated: Callable[[str], str]) -> None:
        super().__init__(params)
        self._params, self._translated = params, translated

    def __missing__(self, key: str) -> object:
        return _MADE[key](self._params, self._translated)


_Translated = Callable[[str], str]


def _name(params: Params, translated: _Translated) -> str:
    owner = params.get("owner")
    key = str(params["key"]).replace("_", " ").capitalize()
    return translated(marked("{key} of “{owner}”")).format(key=key, owner=owner) if owner else key


def _place(params: Params, translated: _Translated) -> str:
    return f"“{params['key']}”" if "key" in params else translated(marked("The document"))


def _decimals(params: Params, translated: _Translated) -> str:
    if not params["digits"]:
        return translated(marked("no decimals"))
    return translated(marked("at most {digits} decimals")).format(digits=params["digits"])


def _choices(params: Params, translated: _Translated) -> str:
    return ", ".join(_several(params["among"])) or translated(marked("none"))


def _several(param: Param) -> tuple[str, ...]:
    return param if isinstance(param, tuple) else (str(param),)


def _percent(params: Params, _translated: _Translated) -> str:
    margin = params["margin"]
    return f"{float(margin) * 100:.4g}%" if isinstance(margin, Fraction) else str(margin)


_MADE: Mapping[str, Callable[[Params, _Translated], str]] = {
    "name": _name,
    "place": _place,
    "allowed": lambda params, translated: translated(RANGES.get(str(params["range"]), str(params["range"]))),
    "decimals": _decimals,
    "choices": _choices,
    "type_words": lambda params, translated: translated(_TYPES[str(params["type"])]),
    "kind_words": lambda params, translated: translated(_KINDS[str(params["kind"])]),
    "loop": lambda params, _: " → ".join(_several(params["recipes"])),
    "molds_key": lambda *_: "moulds",
    "margin_percent": _percent,
}
