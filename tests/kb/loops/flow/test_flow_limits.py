"""The limits of flow: what still holds, what does not, and for which kinds of parts."""

from __future__ import annotations

import pytest

from kb.evidence.limits import judge_number
from kb.evidence.tree import Number
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.verdict import Verdict

CASES = [
    ("coolant-velocity", "tube-copper", 1.5, 1.6, Verdict.CONDITIONAL),
    ("coolant-velocity", "tube-soft", 2.4, 2.5, Verdict.COMPATIBLE),
    ("coolant-velocity", "fitting-barb", 4.0, 4.1, Verdict.COMPATIBLE),
    ("loop-flow", "loop", 1.5, 1.4, Verdict.COMPATIBLE),
    ("loop-flow", "loop", 1.5, 0.05, Verdict.INCOMPATIBLE),
    ("part-flow", "block-cpu", 1.0, 0.9, Verdict.COMPATIBLE),
    ("coolant-pressure", "tube-soft", 1.5, 1.6, Verdict.CONDITIONAL),
    ("coolant-pressure", "tube-acrylic", 3.0, 3.1, Verdict.CONDITIONAL),
    ("coolant-pressure", "end-rigid-compression", 1.0, 1.1, Verdict.CONDITIONAL),
    ("coolant-pressure", "reservoir-tube", 0.5, 0.6, Verdict.CONDITIONAL),
    ("coolant-pressure", "radiator", 1.5, 1.6, Verdict.CONDITIONAL),
    ("coolant-pressure", "block-cpu", 1.5, 1.6, Verdict.CONDITIONAL),
    ("coolant-pressure-least", "pump", -0.05, -0.06, Verdict.CONDITIONAL),
    ("coolant-pressure-least", "loop", -0.1, -0.11, Verdict.CONDITIONAL),
]


def verdict_of(snapshot: Snapshot, quantity: str, family: str, value: float) -> Verdict:
    number = Number(f"quantity/{quantity}", value, ())
    return judge_number(snapshot, number, snapshot.families(f"family/{family}"), "here").verdict


@pytest.mark.parametrize(("quantity", "family", "holds", "breaks", "verdict"), CASES)
def test_a_limit_holds_at_its_value_and_breaks_beyond(
    snapshot: Snapshot, quantity: str, family: str, holds: float, breaks: float, verdict: Verdict
) -> None:
    assert verdict_of(snapshot, quantity, family, holds) is Verdict.COMPATIBLE
    assert verdict_of(snapshot, quantity, family, breaks) is verdict
    number = Number(f"quantity/{quantity}", breaks, ())
    broken = judge_number(snapshot, number, snapshot.families(f"family/{family}"), "here")
    assert broken.judgement is not Judgement.PASS, "what only is a note is said, too"


def test_the_reynolds_number_is_reported_and_not_judged(snapshot: Snapshot) -> None:
    """Nobody calls laminar flow wrong; a caller reports the number without holding it against limits."""
    assert snapshot.row("quantity/reynolds-number") is not None
    assert verdict_of(snapshot, "reynolds-number", "tube", 9000.0) is Verdict.UNKNOWN
