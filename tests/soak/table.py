"""The proofs by name, and the lines each prints."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from tests.soak.context import Outcome

#: Module -> what it proves; what takes longest begins first.
PROOFS: Final = {
    "crashes": "killed at named points: nothing lost, nothing doubled",
    "numbers": "16 processes issue invoices, rolled back and killed: 1 to n",
    "mails": "a mail server with bad days: no mail lost, nobody waits, a refusal for good is told",
    "approvals": "32 clients approve one quote at once: one approval, order, PDF and mail",
    "storage": "disk full, database read-only: nothing half written, it goes on",
    "broker": "the broker gone and back: requests go on, work is done",
    "slots": "32 clients approve different quotes for one last slot: one order, the plan moves on by one",
    "races": "approve against revise, withdraw, decline: one outcome",
    "loops": "two outbox loops, one killed: each row done once",
}
#: Proofs that use the same processes one after the other, on PostgreSQL: there they take long to start.
CHAIN: Final = ("approvals", "races", "broker", "storage")
#: How a line begins that names a broken promise.
BROKEN: Final = "! "
#: Proofs that start clerks or loops of their own.
WITHOUT_BROKER: Final = {"numbers", "loops"}
_MOST: Final = 12


def in_processes(names: list[str], postgres: bool) -> list[list[str]]:
    """Divide proofs into lists, each for a process of its own, by when they begin."""
    # On SQLite the broker would be one for the whole chain, which belongs to the loop.
    chain = [name for name in CHAIN if name in names and (postgres or name != "broker")]
    lists = {chain[0]: chain} if chain else {}
    return [lists.get(name, [name]) for name in PROOFS if name in names and name not in chain[1:]]


def has_broker(names: list[str], postgres: bool) -> bool:
    """Whether these proofs have a broker: PostgreSQL runs with Celery, SQLite with the loop."""
    return "broker" in names or (postgres and not set(names) <= WITHOUT_BROKER)


def line(vendor: str, name: str, found: Outcome, seconds: float) -> str:
    """Return what a proof says: outcome, counts, remarks, and the promises it found broken, each in a sentence."""
    counts = "  ".join(f"{kind} {found.done[kind]:,}" for kind in ("ok", "failed", "unknown"))
    verdict = "BROKEN" if found.broken else "kept"
    lines = [f"{vendor:<10} {name:<9} {verdict:<6} {seconds:5.0f} s  {PROOFS[name]}"]
    lines += [f"{'':11}{remark}" for remark in [counts, *found.remarks]]
    promises = Counter(found.broken).most_common(_MOST)
    lines += [
        f"{BROKEN}{vendor} {name}: {promise}" + (f" ({count} times)" if count > 1 else "")
        for promise, count in promises
    ]
    return "\n".join(lines) + "\n"
