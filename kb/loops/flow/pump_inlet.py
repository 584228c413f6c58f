"""Whether coolant comes to the pump and air leaves the loop: reservoirs, what lies before a pump, heights.

Owns: counting and measuring these. Does not own: the limits, or suction at the pump (`kb/loops/flow/judge.py`).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.fit.counts import count_of
from kb.loops.flow.network import LoopBranch, LoopCircuit, LoopNetwork, circuit_name
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot

_COUNTED = frozenset({"block", "radiator", "filter", "sensor"})
_STILL_L_MIN = 1e-6


def feed_findings(
    snapshot: Snapshot, loop: ResolvedLoop, network: LoopNetwork, circuit: LoopCircuit, flows_l_min: Mapping[str, float]
) -> Iterator[Finding]:
    """Yield whether a circuit has a reservoir, whether it feeds the pumps, and what stands above the coolant in it.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        network: the loop as a network.
        circuit: the circuit.
        flows_l_min: branch -> flow.

    Validity: heights are judged where they are stated; a pump that another pump feeds counts as fed.
    """
    counted = Number("quantity/reservoirs", count_of(circuit.reservoirs), ())
    yield judge_number(snapshot, counted, ("family/loop",), circuit_name(loop, network, circuit))
    for pump in circuit.pumps:
        between = parts_before(network, circuit, pump, flows_l_min)
        if between is not None:
            number = Number("quantity/parts-before-pump", float(between), ())
            yield judge_number(snapshot, number, loop.parts[pump].families, pump)
    for name in circuit.devices:
        part = loop.parts[name]
        if part.asked.height_mm is not None:
            given = Fact(name, "height_mm", part.asked.height_mm, "", "")
            number = Number("quantity/height-above-surface", part.asked.height_mm, (given,))
            yield judge_number(snapshot, number, part.families, name)


def parts_before(network: LoopNetwork, circuit: LoopCircuit, pump: str, flows_l_min: Mapping[str, float]) -> int | None:
    """Return through how many parts coolant comes to a pump from the nearest reservoir.

    Args:
        network: the loop as a network.
        circuit: the circuit of the pump.
        pump: its name.
        flows_l_min: branch -> flow; it is followed backwards, and where nothing flows every way counts.

    Returns:
        The count; `None` if another pump feeds this one, or there is no reservoir.
    """
    start = network.branches[pump].start
    if start in circuit.reservoirs:
        return 0
    best, waiting, fed = {start: 0}, deque([start]), []
    while waiting:
        node = waiting.popleft()
        for name in circuit.branches:
            branch = network.branches[name]
            before = _before(branch, node, flows_l_min[name])
            if before is None or name == pump:
                continue
            if branch.kind == "pump":
                return None
            count = best[node] + (branch.kind in _COUNTED)
            if before in circuit.reservoirs:
                fed.append(count)
            elif count < best.get(before, count + 1):
                best[before] = count
                waiting.append(before)
    return min(fed, default=None)


def _before(branch: LoopBranch, node: str, flow_l_min: float) -> str | None:
    """Return the node that coolant comes from to this one over a branch."""
    if branch.end == node and flow_l_min > -_STILL_L_MIN:
        return branch.start
    if branch.start == node and flow_l_min < _STILL_L_MIN:
        return branch.end
    return None
