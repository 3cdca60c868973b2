"""Which tests `make test-services` does not run once more: none that only a server can run."""

import pytest

from tests.conftest import pytest_collection_modifyitems

PAGES = "tests/integration/orders/orders/test_order_screens.py::test_one"


class Collected:
    """A collected test: its address and its marks."""

    def __init__(self, nodeid: str, *marks: str) -> None:
        self.nodeid, self.marks = nodeid, set(marks)

    def get_closest_marker(self, name: str) -> str | None:
        return name if name in self.marks else None

    def add_marker(self, mark: pytest.MarkDecorator) -> None:
        self.marks.add(mark.name)


def is_serverless(nodeid: str, *marks: str) -> bool:
    item = Collected(nodeid, *marks)
    pytest_collection_modifyitems([item])  # type: ignore[list-item]  # it has what is asked for
    return "serverless" in item.marks


def test_what_reads_the_same_on_every_database_is_not_run_once_more() -> None:
    assert is_serverless(PAGES, "django_db")
    assert is_serverless("tests/unit/config/test_logs.py::test_one")


@pytest.mark.parametrize("server", ["postgres", "redis"])
def test_what_only_a_server_can_run_is_run_there_wherever_it_stands(server: str) -> None:
    assert not is_serverless(PAGES, server)
    assert not is_serverless("tests/unit/config/test_logs.py::test_one", server)


def test_what_a_database_can_make_different_is_run_once_more() -> None:
    assert not is_serverless("tests/integration/orders/orders/test_cancel_races.py::test_one", "django_db")
    assert not is_serverless("tests/unit/config/test_logs.py::test_one", "django_db")
