"""Two loops, and a payment while its reminder is sent: on SQLite, and on PostgreSQL where one is named."""

from tests.databases import RealDatabase

PROGRAM = "tests.integration.processes.reminders"


def test_rounds_at_the_same_moment_ask_for_a_reminder_once(real_database: RealDatabase) -> None:
    assert real_database.run(PROGRAM, "rounds", "6") == "1 1\n"


def test_a_payment_and_its_reminder_at_once_leave_both_whole(real_database: RealDatabase) -> None:
    for outcome in real_database.run(PROGRAM, "paid", "4").splitlines():
        assert outcome in ("sent 1 done", "not_needed 1 done"), outcome
