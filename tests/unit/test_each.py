"""Many cases in one test: all are tried, those that fail are named, and no fixture is shared."""

import pytest

from tests.each import each


def test_every_case_is_tried_and_those_that_fail_are_named() -> None:
    tried: list[int] = []

    @each("number", [1, 2, 3, 4], ids=lambda number: f"number {number}")
    def test_odd(number: int) -> None:
        tried.append(number)
        assert number % 2

    with pytest.raises(ExceptionGroup, match="2 of 4 cases fail: number 2; number 4") as failed:
        test_odd()
    assert tried == [1, 2, 3, 4]
    assert [error.__notes__ for error in failed.value.exceptions] == [["The case: number 2"], ["The case: number 4"]]


def test_the_members_of_a_case_have_names_and_an_error_counts_as_a_failure() -> None:
    @each(("text", "number"), [("1", 1), ("one", 1), ("2", 3)])
    def test_read(text: str, number: int) -> None:
        assert int(text) == number

    with pytest.raises(ExceptionGroup, match="2 of 3") as failed:
        test_read()
    assert [type(error) for error in failed.value.exceptions] == [ValueError, AssertionError]


def test_without_cases_or_with_a_fixture_there_is_no_such_test() -> None:
    with pytest.raises(AssertionError, match="no case"):
        each("number", [])
    with pytest.raises(AssertionError, match="fixture"):
        each("number", [1])(lambda number, tmp_path: None)
    with pytest.raises(AssertionError, match="parameters of the function"):
        each(("number", "other"), [(1, 2)])(lambda number: None)
