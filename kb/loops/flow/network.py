"""A loop as a network: nodes at its ports, branches through its parts and runs, one circuit or several.

Owns: how the flow paths of a loop are connected, and solving them with a coolant, as they are or with something
changed.
Does not own: the flow paths (`kb/loops/flow/parts.py`), the solution (`kb/formulas/flow/series_network.py`) or
verdicts.

Nodes: ports as `part.port`; the middle of a reservoir or branching fitting is its name. Branches: a device is one
branch of its name, from inlet to outlet; a reservoir or branching fitting is a star with a branch `part.port` from each
port in use to its middle; a run is `run:<index>`. What does not depend on what flows is made once for a loop.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple, TypeAlias

from kb.evidence.tree import Finding, Missing
from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_path import FlowPath, Restriction
from kb.formulas.flow.pipe_network import NetworkState
from kb.formulas.flow.series_network import (
    Circuit,
    PathBranch,
    changed,
    circuit_flows,
    circuit_of,
    connected,
    solve_circuit,
)
from kb.loops.flow.assumptions import Assumptions
from kb.loops.flow.parts import KnownFlowPath, device_flow_path, legs, run_flow_path
from kb.loops.flow.pumps import pump_flow_path
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.loops.topology import STARS, device_ends
from kb.parts.dimensions import DIMENSION_MISSING
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.questions.loop import BranchingFitting, PumpInLoop
from schemas.tables.assumptions import Assumption

CURVE_MISSING = Gap.PUMP_CURVE_MISSING.value
SIDE_MISSING = Gap.PORT_SIDE_MISSING.value
NO_FLOW_FOUND = Gap.FLOW_NOT_FOUND.value
STILL_L_MIN = 1e-6  # what rounding leaves of no flow


class LoopBranch(NamedTuple):
    """A path of the coolant in a loop.

    Attributes:
        name: as the head of this file says.
        start: node it starts at; flow counts from here.
        end: node it ends at.
        kind: block, pump, radiator, filter, sensor, reservoir, fitting or run.
        flow_path: its geometry and points, and what these cite.
        is_shut: whether a closed valve shuts it.
    """

    name: str
    start: str
    end: str
    kind: str
    flow_path: KnownFlowPath
    is_shut: bool = False


class LoopCircuit(NamedTuple):
    """Parts that coolant can pass between.

    Attributes:
        network: its open branches.
        branches: names of all its branches, shut ones too.
        pumps: names of its pumps.
        reservoirs: names of its reservoirs.
        devices: names of its blocks, pumps, radiators, filters and sensors.
    """

    network: Circuit
    branches: tuple[str, ...]
    pumps: tuple[str, ...]
    reservoirs: tuple[str, ...]
    devices: tuple[str, ...]


class LoopNetwork(NamedTuple):
    """A loop, ready to be solved with any coolant.

    Attributes:
        branches: all branches, by name.
        circuits: what of them hangs together; none if gaps leave something out.
        nodes: port -> node; most are their own.
        assumed: assumptions that went in.
        gaps: what would have to be known first.
    """

    branches: Mapping[str, LoopBranch]
    circuits: tuple[LoopCircuit, ...]
    nodes: Mapping[str, str]
    assumed: tuple[Assumption, ...]
    gaps: tuple[Finding, ...]


class PumpsAt(NamedTuple):
    """Pumps at a share of the speed they have; 0 is dead.

    Attributes:
        share: of their speed; none passes its full speed.
        part: one pump; `None` means all.
    """

    share: float
    part: str | None = None


class PartClogged(NamedTuple):
    """A part that takes some times its usual pressure."""

    part: str
    times: float


class ValveClosed(NamedTuple):
    """A valve shut."""

    part: str


Change: TypeAlias = PumpsAt | PartClogged | ValveClosed


def build_network(snapshot: Snapshot, loop: ResolvedLoop) -> LoopNetwork:
    """Return a loop as a network, ready to be solved with any coolant.

    Args:
        snapshot: the knowledge.
        loop: the loop.

    Raises:
        QuestionError: if the points of a pump are no curve.
    """
    return _Builder(snapshot, loop).network()


def solve_flow(
    network: LoopNetwork,
    coolant: Coolant,
    restriction: Restriction,
    changes: Sequence[Change] = (),
    guess: Mapping[str, float] = MappingProxyType({}),
) -> NetworkState:
    """Return flows and pressures of a loop, as it is or with something changed.

    Args:
        network: the loop.
        coolant: what flows, at its mean temperature.
        restriction: which end of every known range is taken.
        changes: what is different.
        guess: flows of the loop in a state much alike [l/min]; saves time and changes no answer.

    Returns:
        Flows, drops and pressures of all circuits together; pressures count from the middle of the first reservoir of
        each circuit, without one from the inlet of its first pump.

    Raises:
        NetworkError: as `kb.formulas.flow.pipe_network.solve_network`.
    """
    flows = dict.fromkeys(network.branches, 0.0)
    drops: dict[str, float] = {}
    pressures: dict[str, float] = {}
    error, steps = 0.0, 0
    for circuit in network.circuits:
        new = _new_paths(network, circuit, changes)
        solved = solve_circuit(changed(circuit.network, new) if new else circuit.network, coolant, restriction, guess)
        flows.update(solved.flows_l_min)
        drops.update(solved.drops_kpa)
        pressures.update(solved.pressures_kpa)
        error, steps = max(error, solved.loop_error_kpa), steps + solved.steps
    for name, branch in network.branches.items():
        if name not in drops:
            drops[name] = pressures.get(branch.start, 0.0) - pressures.get(branch.end, 0.0)
    return NetworkState(MappingProxyType(flows), MappingProxyType(drops), MappingProxyType(pressures), error, steps)


def circuit_flow_l_min(circuit: LoopCircuit, flows_l_min: Mapping[str, float]) -> float:
    """Return the flow of a circuit [l/min]: the greatest of any of its branches.

    Where coolant runs backwards through a pump, it goes round between pumps without use: then only other parts count.

    Args:
        circuit: the circuit.
        flows_l_min: branch -> flow.
    """
    names = circuit.branches
    if any(flows_l_min[pump] < -STILL_L_MIN for pump in circuit.pumps):
        names = tuple(name for name in circuit.devices if name not in circuit.pumps) or names
    return max((abs(flows_l_min[name]) for name in names), default=0.0)


def circuit_name(loop: ResolvedLoop, network: LoopNetwork, circuit: LoopCircuit) -> str:
    """Return what to call a circuit: the loop's name, or that of its first part where there are several."""
    if len(network.circuits) == 1:
        return loop.question.name
    first = (*circuit.pumps, *circuit.reservoirs, *circuit.devices, *circuit.branches)[0]
    return f"{loop.question.name}: circuit of {first}"


def solve_ends(
    network: LoopNetwork, fluid: Coolant, guess_l_min: Mapping[str, float]
) -> Mapping[Restriction, NetworkState]:
    """Return a loop solved at both ends of what is known of its resistances.

    Args:
        network: the loop.
        fluid: what flows.
        guess_l_min: flows to start from [l/min].
    """
    ends = (Restriction.LOW, Restriction.HIGH)
    return MappingProxyType({end: solve_flow(network, fluid, end, (), guess_l_min) for end in ends})


def flows_alone(
    network: LoopNetwork,
    coolant: Coolant,
    restriction: Restriction,
    changes: Sequence[Change] = (),
    guess: Mapping[str, float] = MappingProxyType({}),
) -> Mapping[str, float]:
    """Return the flow of every branch of a loop [l/min], without drops and pressures.

    Args and errors: as `solve_flow`.
    """
    flows = dict.fromkeys(network.branches, 0.0)
    for circuit in network.circuits:
        new = _new_paths(network, circuit, changes)
        flows.update(
            circuit_flows(changed(circuit.network, new) if new else circuit.network, coolant, restriction, guess)
        )
    return MappingProxyType(flows)


def _new_paths(network: LoopNetwork, circuit: LoopCircuit, changes: Iterable[Change]) -> dict[str, FlowPath | None]:
    found: dict[str, FlowPath | None] = {}
    for change in changes:
        if isinstance(change, ValveClosed):
            found.update(dict.fromkeys(_shut_by(circuit.branches, change.part)))
            continue
        if isinstance(change, PumpsAt):
            names = circuit.pumps if change.part is None else (change.part,)
        else:
            names = (change.part,)
        for name in names:
            if name in circuit.branches:
                path = found.get(name) or network.branches[name].flow_path.path
                found[name] = path.at_speed(change.share) if isinstance(change, PumpsAt) else path.times(change.times)
    return found


def _shut_by(branches: Iterable[str], valve: str) -> list[str]:
    """Return the branches that a closed valve shuts: all its legs but the first."""
    return [name for name in branches if name.startswith(f"{valve}.")][1:]


class _Builder:
    """Builds the network of one loop; used once."""

    def __init__(self, snapshot: Snapshot, loop: ResolvedLoop) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._assumptions = Assumptions(snapshot, loop)
        self._gaps: list[Finding] = []
        used = [port for run in loop.question.runs for port in (run.from_, run.to)]
        self._in_use = frozenset(used)
        self._nodes = {port: port for port in used}

    def network(self) -> LoopNetwork:
        """Return the network."""
        found = [branch for part in self._loop.parts.values() for branch in self._part(part)]
        found += self._runs()
        branches = {branch.name: branch for branch in found}
        circuits = () if self._gaps else tuple(self._circuits(branches))
        return LoopNetwork(
            MappingProxyType(branches),
            circuits,
            MappingProxyType(self._nodes),
            self._assumptions.used,
            tuple(self._gaps),
        )

    def _part(self, part: LoopPart) -> Iterator[LoopBranch]:
        if part.asked.kind in STARS:
            yield from self._star(part)
            return
        ends = self._ends(part)
        if ends is None:
            return
        known = self._device(part)
        if known is not None:
            yield LoopBranch(part.name, *ends, part.asked.kind, known)

    def _device(self, part: LoopPart) -> KnownFlowPath | None:
        if not isinstance(part.asked, PumpInLoop):
            return device_flow_path(self._snapshot, part)
        known = pump_flow_path(self._snapshot, part, self._assumptions)
        if known is None:
            self._gap(CURVE_MISSING, part.name, "curve", f"parts.{part.name}.curve")
        return known

    def _star(self, part: LoopPart) -> Iterator[LoopBranch]:
        closed = isinstance(part.asked, BranchingFitting) and part.asked.closed
        used = [port for port in part.ports if f"{part.name}.{port}" in self._in_use]
        flow_paths = legs(self._snapshot, part) if used else {}
        for at, port in enumerate(used):
            name = f"{part.name}.{port}"
            shut = closed and at > 0
            yield LoopBranch(name, name, part.name, part.asked.kind, flow_paths[port], shut)

    def _ends(self, part: LoopPart) -> tuple[str, str] | None:
        """Return inlet and outlet of a device; its further ports count to the side their name begins with."""
        ends = device_ends(part)
        if ends is None:
            return None
        start, end = ends.nodes(part.name)
        for port in part.ports:
            name, side = f"{part.name}.{port}", ends.side(port)
            if name in self._in_use and side is None:
                self._gap(SIDE_MISSING, name, "side", f"parts.{part.name}.ports")
            elif name in self._in_use:
                self._nodes[name] = end if side == "out" else start
        return start, end

    def _runs(self) -> Iterator[LoopBranch]:
        for run in self._loop.runs:
            known = run_flow_path(self._snapshot, run, self._assumptions)
            if isinstance(known, KnownFlowPath):
                start, end = self._nodes[run.asked.from_], self._nodes[run.asked.to]
                yield LoopBranch(f"run:{run.index}", start, end, "run", known)
            else:
                self._gap(DIMENSION_MISSING, known.id, "inside diameter", "id_mm")

    def _gap(self, code: str, subject: str, what: str, column: str) -> None:
        self._gaps.append(Finding(code, Judgement.GAP, subject, (Missing(subject, what, column),)))

    def _circuits(self, branches: Mapping[str, LoopBranch]) -> Iterator[LoopCircuit]:
        for group in connected(
            [PathBranch(one.name, one.start, one.end, one.flow_path.path) for one in branches.values()]
        ):
            names = tuple(branch.name for branch in group)
            those = [branches[name] for name in names]
            pumps = tuple(one.name for one in those if one.kind == "pump")
            reservoirs = tuple(
                dict.fromkeys(
                    node
                    for one in those
                    for node in (one.start, one.end)
                    if node in self._loop.parts and self._loop.parts[node].asked.kind == "reservoir"
                )
            )
            reference = next(iter((*reservoirs, *(branches[name].start for name in pumps), those[0].start)))
            opened = [one for one in group if not branches[one.name].is_shut]
            devices = tuple(one.name for one in those if one.name in self._loop.parts)
            yield LoopCircuit(circuit_of(opened, reference), names, pumps, reservoirs, devices)
