"""The proofs by name, and the line each prints."""

from collections import Counter
from typing import Final

from tests.soak.context import Outcome

#: Module -> what it proves.
PROOFS: Final = {
    "approvals": "32 clients approve one quote at once: one approval, order, PDF and mail",
    "races": "approve against revise, withdraw, decline: one outcome",
    "numbers": "16 processes issue invoices, rolled back and killed: 1 to n",
    "crashes": "killed at named points: nothing lost, nothing doubled",
    "mails": "a mail server with bad days: no mail lost, nobody waits",
    "broker": "the broker gone and back: requests go on, work is done",
    "storage": "disk full, database read-only: nothing half written, it goes on",
    "loops": "two outbox loops, one killed: each row done once",
}
_MOST: Final = 12


def line(vendor: str, what: str, found: Outcome, seconds: float) -> str:
    """Return what a proof says: outcome, counts, remarks, and the promises it found broken."""
    counts = "  ".join(f"{kind} {found.done[kind]:,}" for kind in ("ok", "failed", "unknown"))
    verdict = "BROKEN" if found.broken else "kept"
    lines = [f"{vendor:<10} {verdict:<6} {seconds:5.0f} s  {what}", f"{'':18}{counts}"]
    lines += [f"{'':18}{remark}" for remark in found.remarks]
    promises = Counter(found.broken).most_common(_MOST)
    lines += [f"{'':18}! {promise}" + (f" ({count} times)" if count > 1 else "") for promise, count in promises]
    return "\n".join(lines) + "\n"
