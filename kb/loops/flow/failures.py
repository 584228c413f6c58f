"""What the flow of a loop becomes if one thing fails: a pump dead, a filter clogged, a valve closed.

Owns: which failures are looked at, and their flows. Does not own: solving (`kb/loops/flow/network.py`) or words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_path import Restriction
from kb.formulas.flow.pipe_network import NetworkError, NetworkState
from kb.loops.assumptions import given_or_assumed
from kb.loops.flow.network import (
    STILL_L_MIN,
    Change,
    LoopCircuit,
    LoopNetwork,
    PartClogged,
    PumpsAt,
    ValveClosed,
    circuit_flow_l_min,
    flows_alone,
)
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.questions.loop import BranchingFitting
from schemas.tables.assumptions import Assumption

CLOGGED_TIMES = "quantity/clogged-times"
_VALVE = "family/fitting-valve"


class Failure(StrEnum):
    """What can happen to the flow."""

    PUMP_DEAD = "pump-dead"
    FILTER_CLOGGED = "filter-clogged"
    VALVE_CLOSED = "valve-closed"


class FlowFailure(NamedTuple):
    """The flow after one thing has changed.

    Attributes:
        what: what changed.
        part: where.
        times: how many times its pressure a clogged part takes.
        now_l_min: flow of the circuit as it is.
        then_l_min: flow of the circuit afterwards.
        least_block: block of the circuit that gets least flow afterwards.
        least_block_l_min: its flow.
        backwards: pumps that coolant runs through backwards afterwards.
        assumed: what had to be assumed.
    """

    what: Failure
    part: str
    times: float | None
    now_l_min: float
    then_l_min: float
    least_block: str | None
    least_block_l_min: float | None
    backwards: tuple[str, ...]
    assumed: Assumption | None = None


def flow_failure_cases(
    snapshot: Snapshot, loop: ResolvedLoop, network: LoopNetwork, fluid: Coolant, now: NetworkState
) -> tuple[FlowFailure, ...]:
    """Return what each failure would do to the flow, at usual resistances.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        network: the loop as a network.
        fluid: what flows, at the temperature it has now.
        now: the loop as it is, at usual resistances.

    Validity: the coolant keeps its temperature, which it does not for long where flow ends.
    """
    return tuple(_failure_cases(snapshot, loop, network, fluid, now))


def _failure_cases(
    snapshot: Snapshot, loop: ResolvedLoop, network: LoopNetwork, fluid: Coolant, now: NetworkState
) -> Iterator[FlowFailure]:
    clogged = given_or_assumed(snapshot, loop, CLOGGED_TIMES)
    for circuit in network.circuits:
        for part in _parts_of(loop, circuit):
            change = _failure(network, part, clogged.value)
            if change is None:
                continue
            loop.budget.check("flow")
            try:
                then = flows_alone(network, fluid, Restriction.USUAL, (change,), now.flows_l_min)
            except NetworkError:  # figures beyond reckoning: nothing is reported of this failure
                continue
            assumed = clogged.row if isinstance(change, PartClogged) else None
            yield _found(loop, circuit, change, part.name, now, then)._replace(assumed=assumed)


def _parts_of(loop: ResolvedLoop, circuit: LoopCircuit) -> list[LoopPart]:
    names = {name.split(".", 1)[0] for name in circuit.branches}
    return [part for name, part in loop.parts.items() if name in names]


def _failure(network: LoopNetwork, part: LoopPart, times: float) -> Change | None:
    """Return what can happen to a part that has not happened yet."""
    asked = part.asked
    if asked.kind == "pump" and network.branches[part.name].flow_path.path.pumps[0].speed > 0:
        return PumpsAt(0.0, part.name)
    if asked.kind == "filter":
        return PartClogged(part.name, times)
    if isinstance(asked, BranchingFitting) and not asked.closed and _VALVE in part.families:
        return ValveClosed(part.name)
    return None


def _found(
    loop: ResolvedLoop, circuit: LoopCircuit, change: Change, part: str, now: NetworkState, then: Mapping[str, float]
) -> FlowFailure:
    kinds = {PumpsAt: Failure.PUMP_DEAD, PartClogged: Failure.FILTER_CLOGGED, ValveClosed: Failure.VALVE_CLOSED}
    blocks = [name for name in circuit.devices if loop.parts[name].asked.kind == "block"]
    least = min(blocks, key=lambda name: abs(then[name]), default=None)
    return FlowFailure(
        what=kinds[type(change)],
        part=part,
        times=change.times if isinstance(change, PartClogged) else None,
        now_l_min=circuit_flow_l_min(circuit, now.flows_l_min),
        then_l_min=circuit_flow_l_min(circuit, then),
        least_block=least,
        least_block_l_min=abs(then[least]) if least is not None else None,
        backwards=tuple(name for name in circuit.pumps if then[name] < -STILL_L_MIN),
    )
