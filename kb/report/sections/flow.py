"""The flow of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/flow/judge.py`) or words (`kb/report/sentences/flow.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.evidence.tree import verdict_of
from kb.formulas.flow.flow_path import Restriction
from kb.formulas.flow.pump_curve import hydraulic_power_w
from kb.formulas.flow.tube_flow import column_pressure_kpa, reynolds_number, velocity_m_per_s
from kb.formulas.heat.coolant_film import LAMINAR_UP_TO, TURBULENT_FROM
from kb.loops.flow.failures import FlowFailure, flow_failure_cases
from kb.loops.flow.judge import FlowPerformance
from kb.loops.flow.network import STILL_L_MIN, LoopBranch
from kb.loops.loop import LoopPart
from kb.report.answers.evidence import report_assumed
from kb.report.sentences.findings import row_name
from kb.report.sentences.flow import failure_sentence, left_out, regime_word
from kb.store.snapshot import Snapshot
from schemas.answers.flow import (
    BranchShare,
    CoolantProperties,
    FlowFailureCase,
    FlowSection,
    FlowSplit,
    PartFlow,
    PumpFlow,
    RunFlow,
    WorstPressure,
)
from schemas.answers.uncertainty_range import UncertaintyRange

_DEVICES = frozenset({"block", "radiator", "filter", "sensor"})
_BRANCHES_OF_A_SPLIT = 2


def report_flow(snapshot: Snapshot, performance: FlowPerformance) -> FlowSection:
    """Return the flow of a loop in the shape of answers.

    Args:
        snapshot: the knowledge.
        performance: what was found.
    """
    reporter = _Reporter(snapshot, performance)
    cases = reporter.cases() if performance.states else ()
    assumed = (*performance.network.assumed, *(case.assumed for case in cases if case.assumed is not None))
    place = performance.worst_pressure
    return FlowSection(
        verdict=verdict_of(performance.findings),
        coolant=_reported_coolant(performance),
        pumps=tuple(reporter.pumps()),
        parts=tuple(reporter.parts()),
        runs=tuple(reporter.runs()),
        worst_pressure=WorstPressure(place=place.place, bar=place.bar) if place is not None else None,
        splits=tuple(reporter.splits()),
        failure_cases=tuple(_reported_case(snapshot, case) for case in cases),
        assumed=report_assumed(snapshot, assumed),
        left_out=left_out(snapshot),
    )


def _reported_coolant(performance: FlowPerformance) -> CoolantProperties | None:
    fluid, coolant = performance.fluid, performance.coolant
    if fluid is None:
        return None
    return CoolantProperties(
        title=coolant.title,
        glycol=coolant.glycol,
        glycol_percent_mass=coolant.mass_percent,
        glycol_percent_volume=coolant.volume_percent,
        library=coolant.library,
        known_by=coolant.facts[min(1, len(coolant.facts) - 1)].row_id,
        **fluid._asdict(),
    )


def _reported_case(snapshot: Snapshot, case: FlowFailure) -> FlowFailureCase:
    return FlowFailureCase(
        what=case.what.value,
        part=case.part,
        times=case.times,
        flow_now_l_min=case.now_l_min,
        flow_then_l_min=case.then_l_min,
        least_block=case.least_block,
        least_block_l_min=case.least_block_l_min,
        sentence=failure_sentence(snapshot, case),
    )


class _Reporter:
    """Reports one solved loop; used once. Reports nothing about a loop that could not be solved."""

    def __init__(self, snapshot: Snapshot, performance: FlowPerformance) -> None:
        self._snapshot = snapshot
        self._performance = performance
        self._parts = performance.loop.parts
        self._branches = performance.network.branches if performance.states else {}
        self._states = performance.states
        self._fixed = {
            name for circuit in performance.network.circuits if circuit.reservoirs for name in circuit.branches
        }

    def cases(self) -> tuple[FlowFailure, ...]:
        """Return the failure cases."""
        performance = self._performance
        assert performance.fluid is not None
        now = performance.states[Restriction.USUAL]
        return flow_failure_cases(self._snapshot, performance.loop, performance.network, performance.fluid, now)

    def pumps(self) -> Iterator[PumpFlow]:
        """Yield the pumps."""
        for branch in self._of({"pump"}):
            head = _turned(self._drop(branch))
            flow = self._flow(branch)
            yield PumpFlow(
                name=branch.name,
                title=self._title(self._parts[branch.name]),
                speed_percent=100 * branch.flow_path.path.pumps[0].speed,
                flow_l_min=flow,
                head_kpa=head,
                coolant_w=max(hydraulic_power_w(flow.likely, head.likely), 0.0),
                inlet_kpa=self._inlet_kpa(branch),
                curve=branch.flow_path.said_by,
            )

    def parts(self) -> Iterator[PartFlow]:
        """Yield blocks, radiators, filters and sensors."""
        for branch in self._of(_DEVICES):
            yield PartFlow(
                name=branch.name,
                title=self._title(self._parts[branch.name]),
                kind=branch.kind,
                flow_l_min=self._flow(branch),
                drop_kpa=self._drop(branch),
                inlet_kpa=self._inlet_kpa(branch),
                resistance=branch.flow_path.said_by,
            )

    def runs(self) -> Iterator[RunFlow]:
        """Yield the runs."""
        fluid = self._performance.fluid
        for branch in self._of({"run"}):
            assert fluid is not None
            narrowest = min(branch.flow_path.bores, key=lambda bore: bore.mm, default=None)
            flow = self._flow(branch)
            bore = branch.flow_path.tube_mm or (narrowest.mm if narrowest is not None else None)
            reynolds = reynolds_number(flow.likely, bore, fluid) if bore is not None else None
            yield RunFlow(
                name=self._run_name(branch.name),
                flow_l_min=flow,
                drop_kpa=self._drop(branch),
                bore_mm=narrowest.mm if narrowest is not None else None,
                narrowest=narrowest.part.id if narrowest is not None else None,
                velocity_m_per_s=abs(velocity_m_per_s(flow.likely, narrowest.mm)) if narrowest is not None else None,
                reynolds=reynolds,
                regime=regime_word(reynolds, LAMINAR_UP_TO, TURBULENT_FROM) if reynolds is not None else None,
            )

    def splits(self) -> Iterator[FlowSplit]:
        """Yield the places where flow divides, in the order of the branches."""
        leaving = self._leaving()
        for node, those in leaving.items():
            if len(those) >= _BRANCHES_OF_A_SPLIT:
                whole = sum(flow for _, flow in those)
                shares = tuple(
                    BranchShare(to=self._towards(branch, leaving), share_percent=100 * flow / whole, flow_l_min=flow)
                    for branch, flow in those
                )
                yield FlowSplit(at=node, branches=shares)

    def _leaving(self) -> dict[str, list[tuple[LoopBranch, float]]]:
        """Return, by node, the branches that take flow out of it, and their flows."""
        found: dict[str, list[tuple[LoopBranch, float]]] = {}
        for branch in self._branches.values():
            flow = self._states[Restriction.USUAL].flows_l_min[branch.name]
            if abs(flow) > STILL_L_MIN:
                found.setdefault(branch.start if flow > 0 else branch.end, []).append((branch, abs(flow)))
        return found

    def _towards(self, branch: LoopBranch, leaving: dict[str, list[tuple[LoopBranch, float]]]) -> str:
        """Return the first device a branch leads to, or its own place where the flow divides or joins before one."""
        first, flows = branch, self._states[Restriction.USUAL].flows_l_min
        for _ in self._branches:
            if branch.kind in _DEVICES or branch.kind == "pump":
                return branch.name
            after = leaving.get(branch.end if flows[branch.name] > 0 else branch.start, [])
            if len(after) != 1 or after[0][0].kind in ("reservoir", "fitting"):
                break
            branch = after[0][0]
        return self._run_name(first.name)

    def _of(self, kinds: set[str] | frozenset[str]) -> Iterator[LoopBranch]:
        return (branch for branch in self._branches.values() if branch.kind in kinds)

    def _run_name(self, name: str) -> str:
        kind, _, index = name.partition(":")
        return self._performance.loop.runs[int(index)].name if kind == "run" else name

    def _title(self, part: LoopPart) -> str:
        return part.asked.title or (row_name(self._snapshot, part.row.id) if part.row is not None else part.asked.kind)

    def _flow(self, branch: LoopBranch) -> UncertaintyRange:
        return self._range([(one, state.flows_l_min[branch.name]) for one, state in self._states.items()])

    def _drop(self, branch: LoopBranch) -> UncertaintyRange:
        return self._range([(one, state.drops_kpa[branch.name]) for one, state in self._states.items()])

    def _range(self, values: list[tuple[Restriction, float]]) -> UncertaintyRange:
        by_end = dict(values)
        return UncertaintyRange(low=min(by_end.values()), likely=by_end[Restriction.USUAL], high=max(by_end.values()))

    def _inlet_kpa(self, branch: LoopBranch) -> float | None:
        """Return the gauge pressure at the inlet of a device, at its own height if that is stated."""
        fluid = self._performance.fluid
        if branch.name not in self._fixed or fluid is None:
            return None
        height = self._parts[branch.name].asked.height_mm or 0.0
        pressure = self._states[Restriction.USUAL].pressures_kpa.get(branch.start, 0.0)
        return pressure + column_pressure_kpa(-height, fluid)


def _turned(range_: UncertaintyRange) -> UncertaintyRange:
    """Return a drop as a head."""
    return UncertaintyRange(low=-range_.high, likely=-range_.likely, high=-range_.low)
