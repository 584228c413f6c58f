"""The flow of a loop, judged: solved at the low, usual and high end of what is known of its resistances.

Owns: which numbers of flow, velocity and pressure are held against limits, and where. Does not own: the network
(`kb/loops/flow/network.py`), feeding the pump (`kb/loops/flow/pump_inlet.py`) or limits.
Flow and velocity are judged as they are likely; pressure at its worst over the range, because it breaks things. What
all flows depend on is cited once, at the flow of the circuit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.coolant.coolant import Coolant, CoolantError
from kb.formulas.flow.flow_path import Restriction
from kb.formulas.flow.pipe_network import NetworkState
from kb.formulas.flow.pump_curve import pump_flow_share_percent, pump_speed_margin_percent
from kb.formulas.flow.tube_flow import column_pressure_kpa, coolant_pressure_bar, velocity_m_per_s
from kb.loops.coolant import PROPERTIES_MISSING, LoopCoolant
from kb.loops.flow.network import (
    LoopBranch,
    LoopCircuit,
    LoopNetwork,
    build_network,
    circuit_flow_l_min,
    circuit_name,
    solve_ends,
    solve_flow,
)
from kb.loops.flow.parts import Bore
from kb.loops.flow.pump_inlet import feed_findings
from kb.loops.loop import LoopRun, ResolvedLoop
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables.pumps import Pump

LOOP_FAMILY = ("family/loop",)


class PlacePressure(NamedTuple):
    """The greatest pressure in the loop."""

    place: str
    bar: float


class FlowPerformance(NamedTuple):
    """What was found about the flow of a loop.

    Attributes:
        loop: the loop.
        coolant: what flows.
        fluid: the same at its mean temperature; `None` if it is no liquid there.
        network: the loop as a network.
        states: solved at every end of what is known; empty if something has to be known first.
        findings: what was judged.
        worst_pressure: where the pressure is greatest; `None` without a reservoir to count from.
    """

    loop: ResolvedLoop
    coolant: LoopCoolant
    fluid: Coolant | None
    network: LoopNetwork
    states: Mapping[Restriction, NetworkState]
    findings: tuple[Finding, ...]
    worst_pressure: PlacePressure | None


def judge_flow(
    snapshot: Snapshot,
    loop: ResolvedLoop,
    coolant: LoopCoolant,
    temperature_c: float,
    network: LoopNetwork | None = None,
    ends: Mapping[Restriction, NetworkState] = MappingProxyType({}),
) -> FlowPerformance:
    """Judge the flow of a loop.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        coolant: what flows.
        temperature_c: mean temperature of it [degC].
        network: the loop as `build_network` made it before; `None` makes it.
        ends: the same loop at the same temperature as `solve_ends` found it before; empty finds them.

    Raises:
        QuestionError: if the points of a pump are no curve.
    """
    network = network or build_network(snapshot, loop)
    try:
        fluid = coolant.at(temperature_c)
    except CoolantError as error:
        missing = Missing(coolant.title, f"property at {error.temperature_c:g} degC", "conditions")
        gap = Finding(PROPERTIES_MISSING, Judgement.GAP, coolant.title, (missing,))
        return FlowPerformance(loop, coolant, None, network, MappingProxyType({}), (gap, *network.gaps), None)
    if network.gaps:
        return FlowPerformance(loop, coolant, fluid, network, MappingProxyType({}), network.gaps, None)
    states = _solved_range(network, fluid, ends)
    loop.budget.check("flow")
    judge = _Judge(snapshot, loop, coolant, fluid, network, states)
    return FlowPerformance(loop, coolant, fluid, network, states, judge.findings(), judge.worst_pressure())


def _solved_range(
    network: LoopNetwork, fluid: Coolant, ends: Mapping[Restriction, NetworkState]
) -> Mapping[Restriction, NetworkState]:
    usual = solve_flow(network, fluid, Restriction.USUAL)
    return MappingProxyType({Restriction.USUAL: usual, **(ends or solve_ends(network, fluid, usual.flows_l_min))})


class _Judge:
    """Judges a solved loop; used once."""

    def __init__(
        self,
        snapshot: Snapshot,
        loop: ResolvedLoop,
        coolant: LoopCoolant,
        fluid: Coolant,
        network: LoopNetwork,
        states: Mapping[Restriction, NetworkState],
    ) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._coolant = coolant
        self._fluid = fluid
        self._network = network
        self._states = states
        self._flows = states[Restriction.USUAL].flows_l_min
        self._runs: dict[str, LoopRun] = {f"run:{run.index}": run for run in loop.runs}
        self._fixed = [circuit for circuit in network.circuits if circuit.reservoirs]
        self._pressures = self._greatest_pressures()

    def findings(self) -> tuple[Finding, ...]:
        """Return everything that was judged."""
        found: list[Finding] = []
        for circuit in self._network.circuits:
            found.append(self._loop_flow(circuit))
            found += feed_findings(self._snapshot, self._loop, self._network, circuit, self._flows)
        found += self._part_flows()
        found += self._pump_figures()
        found += self._velocities()
        found += self._pressure_findings()
        found += self._least_pressures()
        return tuple(found)

    def worst_pressure(self) -> PlacePressure | None:
        """Return where the pressure is greatest."""
        return max(self._pressures.values(), key=lambda place: place.bar, default=None)

    def _loop_flow(self, circuit: LoopCircuit) -> Finding:
        facts = [fact for name in circuit.branches for fact in self._network.branches[name].flow_path.facts]
        inputs = tuple(dict.fromkeys((*facts, *self._coolant.facts)))
        number = Number("quantity/loop-flow", circuit_flow_l_min(circuit, self._flows), inputs)
        return judge_number(self._snapshot, number, LOOP_FAMILY, circuit_name(self._loop, self._network, circuit))

    def _part_flows(self) -> Iterator[Finding]:
        for name, part in self._loop.parts.items():
            if part.asked.kind == "block":
                branch = self._network.branches.get(name)
                flow = abs(self._flows.get(name, 0.0))
                number = Number("quantity/part-flow", flow, branch.flow_path.facts if branch else ())
                yield judge_number(self._snapshot, number, part.families, name)

    def _pump_figures(self) -> Iterator[Finding]:
        for circuit in self._network.circuits:
            for name in circuit.pumps:
                branch, part = self._network.branches[name], self._loop.parts[name]
                pump = branch.flow_path.path.pumps[0]
                if pump.speed == 0:
                    continue
                share = pump_flow_share_percent(self._flows[name], pump.speed, pump.curve.flows_l_min[-1])
                number = Number("quantity/pump-flow-share", share, branch.flow_path.facts)
                yield judge_number(self._snapshot, number, part.families, name)
                if isinstance(part.row, Pump) and part.row.speed_min_rpm and part.row.speed_max_rpm:
                    yield self._speed_margin(name, part.row, branch.flow_path.facts[-1])

    def _speed_margin(self, name: str, row: Pump, speed: Fact) -> Finding:
        assert row.speed_min_rpm is not None
        assert row.speed_max_rpm is not None
        margin = pump_speed_margin_percent(float(speed.value), row.speed_min_rpm, row.speed_max_rpm)
        least, most = (
            Fact(row.id, column, getattr(row, column), row.source_id, row.locator or "")
            for column in ("speed_min_rpm", "speed_max_rpm")
        )
        number = Number("quantity/pump-speed-margin", margin, (speed, least, most))
        return judge_number(self._snapshot, number, self._loop.parts[name].families, name)

    def _velocities(self) -> Iterator[Finding]:
        """Judge the fastest place of every kind of tube and fitting."""
        fastest: dict[tuple[str, ...], tuple[float, Bore, str]] = {}
        for name, branch in self._network.branches.items():
            for bore in branch.flow_path.bores:
                speed = abs(velocity_m_per_s(self._flows[name], bore.mm))
                known = fastest.get(bore.part.families)
                if known is None or speed > known[0]:
                    fastest[bore.part.families] = speed, bore, self._place(name)
        for families, (speed, bore, place) in fastest.items():
            given = Fact(bore.part.id, "bore_mm", bore.mm, "", "")
            fact = next((fact for one in bore.part.elements if (fact := _bore_fact(one, bore.mm))), given)
            number = Number("quantity/coolant-velocity", speed, (fact,))
            if self._has_limit(number, families):
                yield judge_number(self._snapshot, number, families, f"{bore.part.id} ({place})")

    def _greatest_pressures(self) -> dict[tuple[str, ...], PlacePressure]:
        """Return the greatest pressure of every device, and of every kind of tube and of end, by families."""
        worst: dict[tuple[str, ...], PlacePressure] = {}
        for circuit in self._fixed:
            for name in circuit.branches:
                branch = self._network.branches[name]
                bar = self._greatest_bar(branch)
                for families, place in self._pressed(branch):
                    if families not in worst or bar > worst[families].bar:
                        worst[families] = PlacePressure(place, bar)
        return worst

    def _pressure_findings(self) -> Iterator[Finding]:
        for families, worst in self._pressures.items():
            number = Number("quantity/coolant-pressure", worst.bar, ())
            if self._has_limit(number, families):
                yield judge_number(self._snapshot, number, families, worst.place)

    def _pressed(self, branch: LoopBranch) -> Iterator[tuple[tuple[str, ...], str]]:
        """Yield what of a branch is under pressure: families and place."""
        run = self._runs.get(branch.name)
        if run is None:
            name = branch.name.split(".", 1)[0]
            yield (*self._loop.parts[name].families, name), name
            return
        if run.tube is not None:
            yield run.tube.families, f"{run.tube.id} ({run.name})"
        for fitting in (*run.first, *run.last):
            yield from ((end.families, f"{fitting.id} ({run.name})") for end in fitting.elements)

    def _greatest_bar(self, branch: LoopBranch) -> float:
        nodes = (branch.start, branch.end)
        return max(self._bar(state, node) for state in self._states.values() for node in nodes)

    def _bar(self, state: NetworkState, node: str) -> float:
        return coolant_pressure_bar(state.pressures_kpa.get(node, 0.0), self._column_kpa(node))

    def _column_kpa(self, node: str) -> float:
        part = self._loop.parts.get(node.split(".", 1)[0])
        height = part.asked.height_mm if part is not None else None
        return column_pressure_kpa(-height, self._fluid) if height is not None else 0.0

    def _least_pressures(self) -> Iterator[Finding]:
        for circuit in self._fixed:
            nodes = {node for name in circuit.branches for node in self._ends(name)}
            least, where = min((min(self._bar(one, node) for one in self._states.values()), node) for node in nodes)
            yield self._least(least, LOOP_FAMILY, where)
            for name in circuit.pumps:
                inlet = self._network.branches[name].start
                suction = min(self._bar(state, inlet) for state in self._states.values())
                yield self._least(suction, self._loop.parts[name].families, name)

    def _ends(self, name: str) -> tuple[str, str]:
        return self._network.branches[name].start, self._network.branches[name].end

    def _least(self, bar: float, families: tuple[str, ...], place: str) -> Finding:
        return judge_number(self._snapshot, Number("quantity/coolant-pressure-least", bar, ()), families, place)

    def _has_limit(self, number: Number, families: tuple[str, ...]) -> bool:
        limit_set = self._snapshot.limit_set(number.quantity_id, families)
        return bool(limit_set.at_least or limit_set.at_most)

    def _place(self, name: str) -> str:
        return self._runs[name].name if name in self._runs else name.split(".", 1)[0]


def _bore_fact(element: Element, bore_mm: float) -> Fact | None:
    for column in ("bore_mm", "id_mm"):
        if getattr(element.row, column, None) == bore_mm:
            return element.fact(column)
    return None
