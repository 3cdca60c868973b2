"""What freezes before its core is cold has no time on the cold-room list: it is measured."""

from types import SimpleNamespace
from typing import Any

from orders.production.batch_presenters import cold_part


def test_a_batch_whose_time_cannot_be_estimated_has_no_number() -> None:
    step = SimpleNamespace(wait_min=None, minutes=60)
    last = SimpleNamespace(minutes=60.0)
    cycle = SimpleNamespace(plan=SimpleNamespace(cold_c=5.0), before_last=0.0, stages=(last,))
    trial = SimpleNamespace(cold_slow=147.0, freezes=SimpleNamespace(stage=0))
    task: Any = SimpleNamespace(step=step)
    times: Any = SimpleNamespace(trial=trial, cycle=cycle)
    part = cold_part(task, "2 kg", times)
    assert part.least == ""
    assert "measure it, no time can be estimated" in part.until
    trial.freezes = None
    assert cold_part(task, "2 kg", times).least != ""


def test_a_stay_in_the_cold_lasts_its_minutes_and_its_wait() -> None:
    task: Any = SimpleNamespace(step=SimpleNamespace(wait_min=30, minutes=60))
    assert cold_part(task, "2 kg", None).least == "1 h 30 min"
