"""What is said about the flow of a loop.

Owns: which message is said, and how its numbers are written. Does not own: what is decided, or the words
(`kb/tables/messages.csv`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.loops.flow.failures import Failure, FlowFailure
from kb.report.sentences.words import words
from kb.store.snapshot import Snapshot
from schemas.messages import Text

_NOTHING_L_MIN = 0.05
_LEFT_OUT = (Text.FLOW_LEFT_OUT_BORES, Text.FLOW_LEFT_OUT_CLASSES, Text.FLOW_LEFT_OUT_PUMPS)


def left_out(snapshot: Snapshot) -> tuple[str, ...]:
    """Return what the computation leaves out."""
    return tuple(words(snapshot, message) for message in _LEFT_OUT)


def regime_word(reynolds: float, laminar_up_to: float, turbulent_from: float) -> str:
    """Return what the flow in a bore is called.

    >>> regime_word(0.0, 2300.0, 4000.0), regime_word(3000.0, 2300.0, 4000.0)
    ('still', 'transition')
    """
    if reynolds == 0:
        return "still"
    if reynolds <= laminar_up_to:
        return "laminar"
    return "turbulent" if reynolds >= turbulent_from else "transition"


def failure_sentence(snapshot: Snapshot, case: FlowFailure) -> str:
    """Return what becomes of the flow if one thing fails."""
    failure = _failure(snapshot, case)
    if case.then_l_min < _NOTHING_L_MIN:
        return words(snapshot, Text.FLOW_FAILURE_STOPS, failure=failure)
    message = Text.FLOW_FAILURE_RISES if case.then_l_min > case.now_l_min else Text.FLOW_FAILURE_FALLS
    beside = "".join(f"; {phrase}" for phrase in _beside(snapshot, case))
    now, then = f"{case.now_l_min:.1f}", f"{case.then_l_min:.1f}"
    return words(snapshot, message, failure=failure, now=now, then=then, beside=beside)


def _failure(snapshot: Snapshot, case: FlowFailure) -> str:
    if case.what is Failure.PUMP_DEAD:
        return words(snapshot, Text.FLOW_FAILURE_PUMP, part=case.part)
    if case.what is Failure.VALVE_CLOSED:
        return words(snapshot, Text.FLOW_FAILURE_VALVE, part=case.part)
    return words(snapshot, Text.FLOW_FAILURE_FILTER, part=case.part, times=f"{case.times or 1:g}")


def _beside(snapshot: Snapshot, case: FlowFailure) -> Iterator[str]:
    if case.least_block is not None and case.least_block_l_min is not None:
        flow = f"{case.least_block_l_min:.1f}"
        yield words(snapshot, Text.FLOW_FAILURE_BLOCK, block=case.least_block, flow=flow)
    if case.backwards:
        yield words(snapshot, Text.FLOW_FAILURE_BACKWARDS, parts=", ".join(case.backwards))
