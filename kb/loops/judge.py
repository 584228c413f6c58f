"""The question: can this loop be assembled, and what is missing?

Owns: the way from a loop to what is decided of it. Does not own: joints along a run (`kb/loops/run_path.py`), the
structure as a whole (`kb/loops/structure.py`), suggestions (`kb/compatibility/adapters.py`) or words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from kb.compatibility.adapters import find_chains
from kb.compatibility.joints.joint import Joint, with_facts, with_met
from kb.compatibility.pair import decide_pair
from kb.compatibility.partner_candidates import PartnerIndex
from kb.evidence.limits import judge_number
from kb.evidence.requirements import refuse_contradicted, settled_all, stated_met
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.fit.port_fit import collar_gap_mm
from kb.loops.chemistry import LoopChemistry, fluid_missing, judge_loop_chemistry
from kb.loops.facts import loop_facts
from kb.loops.joint_cache import LoopJoints
from kb.loops.loop import LoopRun, ResolvedLoop
from kb.loops.run_path import RunPath, Station, best_path, part_station, port_station
from kb.loops.sections import judged_sections, says_heat
from kb.loops.service_ports import is_valve
from kb.loops.structure import count_finding, port_uses, structure_findings
from kb.loops.whole_loop import materials_at, whole_loop_findings
from kb.parts.part import Element, Part
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.questions.choices import Section
from schemas.tables.fitting_ends import FittingEnd
from schemas.verdict import Verdict

if TYPE_CHECKING:
    from kb.loops.heat.judge import HeatPerformance
    from kb.loops.performance import LoopPerformance

PERFORMANCE = frozenset({Section.FLOW, Section.HEAT, Section.FILL, Section.SPACE})
_OF_MATERIALS = frozenset({Section.JOINTS, Section.CHEMISTRY})
MOST_TRIED = 200  # candidates looked at for a plug


class JudgedRun(NamedTuple):
    """A run with its joints, what it lacks, and the parts it is made of.

    Attributes:
        name: `pump.out to cpu.in`.
        joints: joints that could be judged.
        findings: what is wrong with the run beyond its joints.
        parts: archetype id -> count, of parts named in the question.
        suggested: archetype ids of parts we suggest.
    """

    name: str
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...]
    parts: Counter[str]
    suggested: tuple[str, ...]


class LoopDecision(NamedTuple):
    """What was decided about a loop.

    Attributes:
        loop: the loop.
        findings: section that was judged -> what was found.
        joints: name of a run, or `plug of PORT`, with every joint on it that could be judged.
        runs: runs and plugs, with the parts they are made of.
        chemistry: substances, `None` if they were not judged.
        performance: flow, heat, fill and space, `None` if none of them was judged.
    """

    loop: ResolvedLoop
    findings: Mapping[Section, Sequence[Finding]]
    joints: tuple[tuple[str, Joint], ...]
    runs: tuple[JudgedRun, ...]
    chemistry: LoopChemistry | None
    performance: LoopPerformance | None


class LoopJudge:
    """Judges one loop question; made anew for each."""

    def __init__(self, snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, loop: ResolvedLoop) -> None:
        self._snapshot = snapshot
        self._resolver = resolver
        self._index = index
        self._loop = loop
        self._question = loop.question
        self._conditions = loop.conditions
        self._joints = LoopJoints(snapshot, loop.conditions)
        self._suggested: dict[tuple[object, str], tuple[str, ...]] = {}

    def judge(self) -> LoopDecision:
        """Judge every section that is asked for; heat first, because materials are judged at its temperature."""
        sections = judged_sections(self._loop)
        performance = self._performance(sections)
        heat = performance.heat if performance is not None else None
        warmest_c = self._warmest_c(sections, heat)
        self._conditions = materials_at(self._loop.conditions, warmest_c)
        self._joints = LoopJoints(self._snapshot, self._conditions)
        found: dict[Section, list[Finding]] = {}
        runs: tuple[JudgedRun, ...] = ()
        if Section.JOINTS in sections:
            runs = (
                *(self._run(run) for run in self._loop.runs),
                *(self._plug(port, plug) for port, plug in self._loop.plugs.items()),
            )
            found[Section.JOINTS] = self._joint_findings(runs)
        chemistry = None
        if Section.CHEMISTRY in sections:
            self._loop.budget.check("chemistry")
            chemistry = judge_loop_chemistry(self._snapshot, self._loop, self._conditions)
            found[Section.CHEMISTRY] = chemistry.findings if chemistry else [fluid_missing(self._question.name)]
        if performance is not None:
            found |= {section: list(findings) for section, findings in performance.findings().items()}
        for section, findings in whole_loop_findings(self._snapshot, self._loop, sections, heat, warmest_c).items():
            found[section] = [*findings, *found.get(section, ())]
        self._loop.budget.check("reporting")
        joints = tuple((run.name, joint) for run in runs for joint in run.joints)
        decided = LoopDecision(self._loop, found, joints, runs, chemistry, performance)
        return _settled(self._snapshot, decided)

    def _joint_findings(self, runs: Sequence[JudgedRun]) -> list[Finding]:
        found = [finding for run in runs for joint in run.joints for finding in joint.findings]
        found += [finding for run in runs for finding in run.findings]
        found += structure_findings(self._snapshot, self._loop, self._closers())
        found += self._spacings()
        return found

    def _performance(self, sections: Collection[Section]) -> LoopPerformance | None:
        if PERFORMANCE.isdisjoint(sections):
            return None
        from kb.loops.performance import judge_performance  # noqa: PLC0415 - its libraries take long to import

        return judge_performance(self._snapshot, self._loop, sections)

    def _warmest_c(self, sections: Collection[Section], heat: HeatPerformance | None) -> float | None:
        """Return the temperature of the warmest coolant, which materials need even where nobody asks for the heat."""
        if heat is None and not _OF_MATERIALS.isdisjoint(sections) and says_heat(self._loop):
            performance = self._performance((Section.HEAT,))
            heat = performance.heat if performance is not None else None
        return heat.warmest_c if heat is not None else None

    def _run(self, run: LoopRun) -> JudgedRun:
        self._loop.budget.check("joints")
        findings: list[Finding] = []
        suggested: list[str] = []
        paths: list[RunPath] = []
        if run.tube is None:
            stations = map(part_station, run.first + run.last[::-1])
            paths.append(self._path([port_station(run.start), *stations, port_station(run.end)]))
        else:
            for port, fittings in ((run.start, run.first), (run.end, run.last)):
                missing = self._missing(port, run.tube) if not fittings else None
                if missing is not None:
                    findings.append(missing)
                    suggested += missing.remedies
                else:
                    paths.append(self._path([port_station(port), *map(part_station, fittings), part_station(run.tube)]))
        fittings = run.first + run.last
        findings += self._open_ends(fittings, paths, run.name)
        parts = Counter(part.base_id or part.id for part in fittings)
        joints = tuple(joint for path in paths for joint in path.joints)
        return JudgedRun(run.name, joints, tuple(findings), parts, tuple(suggested))

    def _path(self, stations: list[Station]) -> RunPath:
        return best_path(self._joints, stations)

    def _missing(self, port: Element, tube: Part) -> Finding | None:
        """Return the finding that fittings are missing between a port and a tube, with a suggestion if there is one."""
        body = Part(port.label, "port", "", (port,))
        remedies = self._between(body, tube)
        if not remedies:
            return None
        return count_finding(self._snapshot, "fittings-missing", 1, f"{port.label} to {tube.id}", remedies)

    def _between(self, port: Part, tube: Part) -> tuple[str, ...]:
        """Return the best fittings between a port and a tube; looked for once for equal ports and tubes."""
        key = (port.elements[0].row, tube.id)
        if key not in self._suggested:
            chains = find_chains(self._resolver, self._index, (port, tube), 1)
            self._suggested[key] = tuple(fitting.id for chain in chains for fitting in chain.fittings)
        return self._suggested[key]

    def _open_ends(self, fittings: Sequence[Part], paths: list[RunPath], run: str) -> Iterator[Finding]:
        used = {id(element) for path in paths for element in path.used}
        for fitting in fittings:
            ends = [end for end in fitting.elements if id(end) not in used]
            if paths and len(fitting.elements) > 2:  # noqa: PLR2004 - a straight body has two ends, both used
                for end in ends:
                    yield count_finding(self._snapshot, "open-ends", 1, f"{end.label} ({run})")

    def _plug(self, port: str, part: Part) -> JudgedRun:
        self._loop.budget.check("joints")
        body = Part(port, "port", "", (self._loop.ports[port],))
        decision = decide_pair(self._snapshot, body, part, self._conditions)
        open_ends = [
            count_finding(self._snapshot, "open-ends", 1, f"{end.label} (plug of {port})")
            for end in part.elements
            if end not in (decision.joint.first, decision.joint.second) and not is_valve(part)
        ]
        return JudgedRun(f"plug of {port}", (decision.joint,), tuple(open_ends), Counter([part.base_id or part.id]), ())

    def _closers(self) -> dict[str, tuple[str, ...]]:
        """Return, for every open port, the first part that would close it."""
        uses = port_uses(self._question)
        return {port: self._closer(element) for port, element in self._loop.ports.items() if uses[port] == 0}

    def _closer(self, port: Element) -> tuple[str, ...]:
        self._loop.budget.check("joints")
        body = Part(port.label, "port", "", (port,))
        for candidate in islice(self._index.candidates(body, "fitting"), MOST_TRIED):
            part = self._resolver.archetype(candidate, "plugs")
            if len(part.elements) == 1 and decide_pair(self._snapshot, body, part, {}).verdict is Verdict.COMPATIBLE:
                return (candidate,)
        return ()

    def _spacings(self) -> Iterator[Finding]:
        """Judge neighbouring ports by the largest collar screwed into each; unknown collars are left out."""
        collars = self._collars()
        for spacing in self._question.spacings:
            first, second = (collars.get(port) for port in spacing.ports)
            if first is None or second is None:
                continue
            gap = collar_gap_mm(spacing.distance_mm, float(first.value), float(second.value))
            number = Number("quantity/collar-gap", gap, (first, second))
            place = " beside ".join(spacing.ports)
            yield judge_number(self._snapshot, number, ("family/end",), place)

    def _collars(self) -> dict[str, Fact]:
        """Return the widest collar of the fitting screwed into each port."""
        found: dict[str, Fact] = {}
        for run in self._loop.runs:
            for port, fittings in ((run.asked.from_, run.first), (run.asked.to, run.last)):
                widest = _widest_collar(fittings[0]) if fittings else None
                if widest is not None:
                    found[port] = widest
        return found


def _settled(snapshot: Snapshot, decision: LoopDecision) -> LoopDecision:
    """Return a decision with the requirements settled by facts of the loop and by what the asker states.

    Raises:
        QuestionError: if facts contradict what is stated to be met.
    """
    facts, met = loop_facts(decision.loop), decision.loop.met
    found = {section: settled_all(snapshot, findings, facts) for section, findings in decision.findings.items()}
    refuse_contradicted(snapshot, (finding for findings in found.values() for finding in findings), met)
    chemistry = decision.chemistry
    if chemistry is not None and met:
        chemistry = chemistry._replace(
            exposure=chemistry.exposure.with_met(met), findings=stated_met(chemistry.findings, met)
        )
    return decision._replace(
        findings={section: stated_met(findings, met) for section, findings in found.items()},
        joints=tuple((run, with_met(with_facts(snapshot, joint, facts), met)) for run, joint in decision.joints),
        chemistry=chemistry,
    )


def _widest_collar(fitting: Part) -> Fact | None:
    collars = [fact for end in fitting.elements if (fact := _collar(end)) is not None]
    return max(collars, key=lambda fact: float(fact.value), default=None)


def _collar(end: Element) -> Fact | None:
    return end.fact("collar_diameter_mm") if isinstance(end.row, FittingEnd) else None


def judge_loop(snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, loop: ResolvedLoop) -> LoopDecision:
    """Judge whether a loop can be assembled, joint by joint, and what is missing.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates for what is missing.
        loop: the loop, with everything found that it names.

    Raises:
        QuestionError: if a material does not exist, or figures contradict one another.
        BudgetSpentError: if it takes longer than the loop's budget.
    """
    return LoopJudge(snapshot, resolver, index, loop).judge()
