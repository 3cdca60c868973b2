"""Texts of reminders: fields from a closed list, filled in once."""

import pytest

from orders.reminders.kinds import KINDS
from orders.reminders.texts import TextProblem, filled, problem_of
from orders.reminders.words import field_words, usual_subject, usual_text

FIELDS = ("customer", "amount")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("Dear {customer}, {amount} please", None),
        ("no field at all", None),
        ("Dear { customer }", None),
        ("Dear {custmer}", TextProblem("field", "custmer")),
        ("Dear {}", TextProblem("field", "")),
        ("Dear {customer", TextProblem("brace", "Dear {customer")),
        ("Dear customer}, hello", TextProblem("brace", "Dear customer}, hello")),
        ("Dear {{customer}}", TextProblem("brace", "Dear {{customer}}")),
        ("Dear {customer.email}", TextProblem("field", "customer.email")),
        ("Dear {customer!r:>100000000}", TextProblem("field", "customer!r:>100000000")),
    ],
)
def test_an_unknown_field_or_a_missing_brace_is_found(text: str, problem: TextProblem | None) -> None:
    assert problem_of(text, FIELDS) == problem


def test_what_is_filled_in_is_not_read_again() -> None:
    values = {"customer": "{amount}", "amount": "$5"}
    assert filled("Dear {customer}: {amount}, { amount }", values) == "Dear {amount}: $5, $5"


@pytest.mark.parametrize("kind", KINDS)
def test_the_usual_texts_use_fields_that_are_there(kind: str) -> None:
    for text in (usual_subject(kind), usual_text(kind)):
        assert problem_of(text, KINDS[kind].fields) is None
    assert all(field_words(name) for name in KINDS[kind].fields)
