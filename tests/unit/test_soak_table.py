"""The soak's proofs: each is made once on each database, and a broken promise can be read."""

from collections import Counter

import pytest

from tests.soak.context import Outcome
from tests.soak.table import BROKEN, PROOFS, has_broker, in_processes, line


@pytest.mark.parametrize("postgres", [False, True])
def test_each_proof_is_made_in_one_process(postgres: bool) -> None:
    made = [name for names in in_processes(list(PROOFS), postgres) for name in names]
    assert Counter(made) == Counter(list(PROOFS))


def test_only_what_is_asked_for_is_proved() -> None:
    assert in_processes(["storage", "crashes"], postgres=True) == [["crashes"], ["storage"]]


def test_on_sqlite_the_loop_does_the_work_of_all_proofs_but_that_of_the_broker() -> None:
    assert ["broker"] in in_processes(list(PROOFS), postgres=False)


def test_a_broker_is_there_on_postgresql_and_where_it_goes_away() -> None:
    with_one = {name for name in PROOFS if has_broker([name], postgres=True)}
    assert with_one == set(PROOFS) - {"numbers", "loops"}
    assert [name for name in PROOFS if has_broker([name], postgres=False)] == ["broker"]


def test_a_broken_promise_is_a_line_that_names_its_database_and_its_proof() -> None:
    found = Outcome(broken=["nobody won Q-00001", "nobody won Q-00001"])
    assert line("sqlite", "races", found, 3.0).splitlines()[-1] == f"{BROKEN}sqlite races: nobody won Q-00001 (2 times)"
