"""The English sentences of errors and warnings: one table per kind of document, by reason.

A sentence is a template filled from the error's `params`. A few of its words are derived from them here: `name` (which
number, and whose), `allowed` (a range in words), `choices`, and the like. Sentences in another language can be written
from the same `params`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from costing.contract.errors import Param, Params

DOCUMENT: Mapping[str, str] = {
    "not_utf8": "The {document} is not UTF-8 text (byte {byte}). Save it as UTF-8.",
    "not_json": "The {document} cannot be read as JSON: {problem}. Correct it there.",
    "too_deep": "The {document} is nested deeper than {levels} levels. Flatten it.",
    "place_too_deep": "This is nested deeper than {levels} levels. Flatten it.",
    "key_twice": "“{key}” stands twice in one object. Keep one of them.",
    "unknown_key": "“{key}” is not a key that belongs here. Use only {choices}.",
    "missing_key": "“{key}” is missing here. Add it.",
    "wrong_type": "{place} is not {type_words}. Write it as {type_words}.",
    "not_a_choice": "{place} is none of {choices}. Use one of them.",
    "other_text": "{place} is not “{text}”. Write exactly that.",
    "not_decimal": "{place} is not written as an exact decimal in quotes, such as 12.50, without exponent or commas."
    " Correct it.",
    "not_currency": "{place} is not written as a currency code of three capitals. Correct it.",
    "not_date": "{place} is not written as a day, such as 2027-02-06. Correct it.",
    "no_such_day": "{place} is not a day of the calendar. Write it like 2027-02-06.",
    "empty_list": "{place} is empty. Give at least one entry.",
    "empty_text": "{place} is empty. Fill it in.",
    "too_long": "{place} is longer than {most} characters. Shorten it.",
    "too_small": "{place} is below {least}. Use a larger number.",
    "too_large": "{place} is above {most}. Use a smaller number.",
    "names_nothing": "This line names neither an ingredient nor a recipe. Add one of the two.",
    "names_two": "{place} cannot stand beside “recipe”. Name an ingredient or a recipe, not both.",
    "out_of_range": "{name} is {value}. It has to be {allowed}.",
    "finer_than_minor": "{name} is {value}, finer than this currency goes. Write it with {decimals}.",
}
"""Faults of any document: how it is written, its keys and types, its numbers."""

BOOK: Mapping[str, str] = {
    "no_such_currency": "“{currency}” is not a currency of ISO 4217 with a minor unit. Use a code such as EUR or USD.",
    "two_rates": "The tax “{tax}” has two rates from {day}. Keep one of them, or change the date.",
    "code_twice": "The code “{code}” stands twice in this list. Give one another code.",
    "unknown_code": "There is no {kind} with the code “{code}” in the Book. Correct the code or add it.",
    "unknown_part": "The ingredient “{ingredient}” has no part “{part}” (its parts: {choices})."
    " Use one of them or add it.",
    "only_counted": "“{ingredient}” is only counted, so it cannot go into a recipe."
    " Use it as packaging, or give it the base g.",
    "mass_needed": "“{measure}” is {kind_words}, and a mass is needed. Write grams.",
    "count_needed": "“{measure}” is {kind_words}, but {ingredient} is only counted. Write it in each.",
    "no_density": "“{measure}” needs the density of {ingredient}. Add it, or write grams.",
    "no_part_density": "“{measure}” needs the density of the part “{part}” of {ingredient}. Add it, or write grams.",
    "no_piece_weight": "“{measure}” needs the grams of one piece of {ingredient}. Add it, or write grams.",
    "no_part_piece_weight": "“{measure}” needs the grams of one piece of the part “{part}” of {ingredient}."
    " Add it, or write grams.",
    "recipe_cycle": "This recipe needs itself: {loop}. Take one of these lines out.",
    "steps_disagree": "The steps of “{code}” do not make its {what}. Make the two agree, or leave one out.",
    "stands_without_leaving": "A vessel and an ice bath are for a step that leaves hot. Write leaves_c, or take this"
    " out.",
    "stands_in_product": "A product cools in its mold, a recipe in a vessel. Take this out.",
    "no_such_vessel": "No vessel is called “{vessel}”. Add it to vessels.",
    "vessels_without_vessel": "Write in which vessel it stands, or take this out.",
    "bath_end_without_bath": "This ends an ice bath, and there is none. Write ice_bath, or take this out.",
    "bath_ends_twice": "An ice bath ends at a temperature or after a time. Take bath_to_c or bath_min out.",
    "stirred_without_bath": "Stirring counts in an ice bath alone. Write ice_bath, or take this out.",
    "vessel_sizes": "“{vessel}” needs a height, and either a diameter or a length and a width.",
    "recipe_takes": "A recipe's lines say what goes in. Take this out, or write it at a product's step.",
    "takes_other": "“{recipe}” is not in this product's fill. Correct the code or add it to the fill.",
    "taken_twice": "“{recipe}” is taken by an earlier step already. Keep one of them.",
    "takes_nothing": "This says how something is taken. Write in takes what, or take this out.",
    "waiting_leaves": "This step waits and cools. Write how warm it leaves at the step before it, the one that ends"
    " warm.",
    "no_such_mold": "No mould is called “{mold}”. Add it to moulds.",
    "answered_twice": "“{code}” stands among the allergens of “{ingredient}” and among its answers. Leave one of them"
    " out.",
    "composition_sum": "The composition of “{ingredient}” adds up to {sum}%, and should make about 100%. Correct it:"
    " what a label does not name is mostly water.",
    "station_and_carrier": "A monthly cost names a station when, and only when, a station carries it.",
    "not_derived": "The monthly figures give {rate} for {what}. Write that, or state the rate.",
    "no_weekday": "A weekday is a number from 0, Monday, to 6, Sunday.",
    "closes_first": "The closing time has to be later than the opening time.",
    "closed_twice": "{day} is closed twice. Keep one of them.",
    "no_clock": "A time is written like 07:30.",
    "zoned_clock": "A time is written like 07:30, without a time zone.",
    "limit_and_source": "A limit of time out of the cold is written with its source, or both are left out.",
    "no_time_zone": "Write a time zone such as Europe/Berlin.",
    "no_locale": "Write a locale such as en_US.",
    "kept_beside": "Something that quotes or orders still name would no longer fit beside this Book: {problem}",
    "unstorable": "This text holds a character that cannot be stored. Take it out.",
    "name_twice": "“{name}” stands twice in {kind}. Keep one of them.",
    "no_pack_in_force": "{ingredient} has no pack with a price on {day}. Add one to the Book.",
    "no_tax_in_force": "The tax “{tax}” has no rate on {day}. Add one to the Book.",
}
"""Faults of a Book, and what an order needs that it lacks. Unreadable measures have the sentences of their errors."""

BRIEF: Mapping[str, str] = {
    "no_lines": "The Brief has no lines. Add at least one product.",
    "unknown_product": "There is no product with the code “{product}” in the Book."
    " Correct the code or add the product.",
    "product_not_in_book": "There is no product with the code “{product}” in the Book.",
    "product_twice": "“{product}” stands on two lines. Put all its units on one.",
    "units_not_positive": "{units} units cannot be ordered. Ask for one or more.",
    "not_a_multiple": "{product} is sold in multiples of {multiple}, not {units}. Ask for {below} or {above}.",
    "not_a_multiple_of": "“{product}” is sold in multiples of {multiple}, not {units}. Ask for such a number.",
    "no_price_rule": "No price rule fits {product} in this order. Add one to the Book, such as one for all products.",
    "unknown_code": BOOK["unknown_code"],
    "tax_not_in_book": "There is no tax with the code “{code}”.",
    "no_delivery": "The Book says nothing of delivery. Add its rates to the Book, or let the order be collected.",
    "delivery_not_in_book": "The Book says nothing of delivery. Add its rates to the Book.",
}
"""Faults of a Brief; those with `not_in_book` are also reported when the Book itself has errors."""

ESTIMATE: Mapping[str, str] = {
    "below_floor": "The goods earn less than the floor margin of {margin_percent}. The owner has to agree to it.",
    "below_target": "{product}: the {basis} price misses the margin of {margin_percent} the rule “{rule}” asks for.",
    "more_costs_less": "{product}: {more} units would be charged less than {units}.",
    "leftover": "{ingredient}: more than a quarter of what is paid for the packs is left over.",
}
"""Warnings of an Estimate."""

_TYPES = {
    "object": "an object",
    "array": "a list",
    "string": "text in quotes",
    "integer": "a whole number without quotes",
    "boolean": "true or false",
}
_KINDS = {"mass": "a mass", "volume": "a volume", "count": "a count"}
RANGES: Mapping[str, str] = {
    "share": "above 0 and at most 1",
    "margin": "at least 0 and below 1",
    "discount": "between 0 and 1",
    "rate": "0 or more",
    "above_zero": "above zero",
    "not_negative": "zero or more",
}
"""Name of a range -> its words; a range with other bounds brings its own."""


def sentence(templates: Mapping[str, str], reason: str, params: Params) -> str:
    """Write the English sentence of an error or a warning.

    Parameters
    ----------
    templates : mapping of str to str
        The table of the document's kind.
    reason : str
        Which sentence; the table for all documents is used where the first table has none.
    params : mapping
        The sentence's parameters.

    Raises
    ------
    KeyError
        When no table has the reason, or the sentence asks for something that `params` do not hold.
    """
    return (templates.get(reason) or DOCUMENT[reason]).format_map(_Words(params))


class _Words(dict[str, object]):
    """The parameters of a sentence, and the words derived from them on demand."""

    def __init__(self, params: Params) -> None:
        super().__init__(params)
        self._params = params

    def __missing__(self, key: str) -> object:
        return _MADE[key](self._params)


def _name(params: Params) -> str:
    owner = params.get("owner")
    key = str(params["key"]).replace("_", " ").capitalize()
    return key + (f" of “{owner}”" if owner else "")


def _decimals(params: Params) -> str:
    return f"at most {params['digits']} decimals" if params["digits"] else "no decimals"


def _choices(params: Params) -> str:
    return ", ".join(_several(params["among"])) or "none"


def _several(param: Param) -> tuple[str, ...]:
    return param if isinstance(param, tuple) else (str(param),)


def _percent(params: Params) -> str:
    margin = params["margin"]
    return f"{float(margin) * 100:.4g}%" if isinstance(margin, Fraction) else str(margin)


_MADE: Mapping[str, Callable[[Params], str]] = {
    "name": _name,
    "place": lambda params: f"“{params['key']}”" if "key" in params else "The document",
    "allowed": lambda params: RANGES.get(str(params["range"]), str(params["range"])),
    "decimals": _decimals,
    "choices": _choices,
    "type_words": lambda params: _TYPES[str(params["type"])],
    "kind_words": lambda params: _KINDS[str(params["kind"])],
    "loop": lambda params: " → ".join(_several(params["recipes"])),
    "margin_percent": _percent,
}
