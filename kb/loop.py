"""The question: does this loop go together, and what is missing?

Owns: the way from a loop to its answer. Does not own: joints along a run (`kb/loop_ways.py`), the structure as a whole
(`kb/loop_structure.py`), suggestions (`kb/between.py`) or words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from kb.between import find_chains
from kb.budget import UNLIMITED, Budget
from kb.evidence import Fact, Finding, Number
from kb.explain import in_telling_order, tell_cautions, tell_findings, tell_sources
from kb.fit.port_fit import collar_gap_mm
from kb.joint import Joint
from kb.limits import judge_number
from kb.loop_chemistry import LoopChemistry, fluid_missing, judge_loop_chemistry, tell_chemistry
from kb.loop_joints import LoopJoints
from kb.loop_parts import LoopRun, ResolvedLoop, resolve_loop
from kb.loop_sections import judged_sections
from kb.loop_structure import count_finding, port_uses, structure_findings
from kb.loop_ways import Station, Way, mildest_way, part_station, port_station
from kb.pair import decide_pair
from kb.partner_index import PartnerIndex
from kb.parts import Element, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from kb.wording import joint_sentence, loop_summary, row_name
from schemas.answers import CautionTold, FindingTold
from schemas.choices import Section
from schemas.fill_answers import FillTold
from schemas.loop_answers import LoopAnswer, LoopJointTold, NeededTold, SectionTold
from schemas.loop_questions import LoopQuestion
from schemas.tables.fitting_ends import FittingEnd
from schemas.verdict import Verdict, worst

if TYPE_CHECKING:
    from kb.loop_duty.duty import LoopDuty

DUTY = frozenset({Section.FLOW, Section.HEAT, Section.FILL, Section.SPACE})
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


class LoopJudge:
    """Judges one loop question; made anew for each."""

    def __init__(self, snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, loop: ResolvedLoop) -> None:
        self._snapshot = snapshot
        self._resolver = resolver
        self._index = index
        self._loop = loop
        self._question = loop.question
        self._joints = LoopJoints(snapshot, loop.conditions)
        self._suggested: dict[tuple[object, str], tuple[str, ...]] = {}

    def answer(self) -> LoopAnswer:
        """Return the answer."""
        sections = judged_sections(self._loop)
        found: dict[Section, list[Finding]] = {}
        runs: list[JudgedRun] = []
        plugs: list[JudgedRun] = []
        joints: list[tuple[str, Joint]] = []
        if Section.JOINTS in sections:
            runs = [self._run(run) for run in self._loop.runs]
            plugs = [self._plug(port, plug) for port, plug in self._loop.plugs.items()]
            joints = [(run.name, joint) for run in (*runs, *plugs) for joint in run.joints]
            found[Section.JOINTS] = [finding for _, joint in joints for finding in joint.findings]
            found[Section.JOINTS] += [finding for run in (*runs, *plugs) for finding in run.findings]
            found[Section.JOINTS] += structure_findings(self._snapshot, self._loop, self._closers())
            found[Section.JOINTS] += self._spacings()
        chemistry = None
        if Section.CHEMISTRY in sections:
            self._loop.budget.check("chemistry")
            chemistry = judge_loop_chemistry(self._snapshot, self._loop)
            found[Section.CHEMISTRY] = chemistry.findings if chemistry else [fluid_missing(self._question.name)]
        duty = self._duty(sections)
        if duty is not None:
            found |= {section: list(findings) for section, findings in duty.findings().items()}
        self._loop.budget.check("telling")
        return self._told(joints, found, [*runs, *plugs], chemistry, duty)

    def _duty(self, sections: Collection[Section]) -> LoopDuty | None:
        if DUTY.isdisjoint(sections):
            return None
        from kb.loop_duty.duty import judge_duty  # noqa: PLC0415 - its libraries take long to import

        return judge_duty(self._snapshot, self._loop, sections)

    def _run(self, run: LoopRun) -> JudgedRun:
        self._loop.budget.check("joints")
        findings: list[Finding] = []
        suggested: list[str] = []
        ways: list[Way] = []
        if run.tube is None:
            stations = map(part_station, run.first + run.last[::-1])
            ways.append(self._way([port_station(run.start), *stations, port_station(run.end)]))
        else:
            for port, fittings in ((run.start, run.first), (run.end, run.last)):
                missing = self._missing(port, run.tube) if not fittings else None
                if missing is not None:
                    findings.append(missing)
                    suggested += missing.mends
                else:
                    ways.append(self._way([port_station(port), *map(part_station, fittings), part_station(run.tube)]))
        fittings = run.first + run.last
        findings += self._open_ends(fittings, ways, run.name)
        parts = Counter(part.base_id or part.id for part in fittings)
        joints = tuple(joint for way in ways for joint in way.joints)
        return JudgedRun(run.name, joints, tuple(findings), parts, tuple(suggested))

    def _way(self, stations: list[Station]) -> Way:
        return mildest_way(self._joints, stations)

    def _missing(self, port: Element, tube: Part) -> Finding | None:
        """Return the finding that fittings are missing between a port and a tube, with a suggestion if there is one."""
        body = Part(port.label, "port", "", (port,))
        mends = self._between(body, tube)
        if not mends:
            return None
        return count_finding(self._snapshot, "fittings-missing", 1, f"{port.label} to {tube.id}", mends)

    def _between(self, port: Part, tube: Part) -> tuple[str, ...]:
        """Return the best fittings between a port and a tube; looked for once for equal ports and tubes."""
        key = (port.elements[0].row, tube.id)
        if key not in self._suggested:
            chains = find_chains(self._resolver, self._index, (port, tube), 1)
            self._suggested[key] = tuple(fitting.id for chain in chains for fitting in chain.fittings)
        return self._suggested[key]

    def _open_ends(self, fittings: Sequence[Part], ways: list[Way], run: str) -> Iterator[Finding]:
        used = {id(element) for way in ways for element in way.used}
        for fitting in fittings:
            ends = [end for end in fitting.elements if id(end) not in used]
            if ways and len(fitting.elements) > 2:  # noqa: PLR2004 - a straight body has two ends, both used
                for end in ends:
                    yield count_finding(self._snapshot, "open-ends", 1, f"{end.label} ({run})")

    def _plug(self, port: str, part: Part) -> JudgedRun:
        self._loop.budget.check("joints")
        body = Part(port, "port", "", (self._loop.ports[port],))
        decision = decide_pair(self._snapshot, body, part, self._loop.conditions)
        open_ends = [
            count_finding(self._snapshot, "open-ends", 1, f"{end.label} (plug of {port})")
            for end in part.elements
            if end not in (decision.joint.first, decision.joint.second)
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
            number = Number("quantity/collar-gap", gap, "kb.fit.port_fit.collar_gap_mm", (first, second))
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

    def _told(
        self,
        joints: list[tuple[str, Joint]],
        found: Mapping[Section, list[Finding]],
        runs: list[JudgedRun],
        chemistry: LoopChemistry | None,
        duty: LoopDuty | None,
    ) -> LoopAnswer:
        sections = tuple(
            SectionTold(section=section, verdict=worst(one.verdict for one in findings))
            for section, findings in found.items()
        )
        verdict = worst(one.verdict for one in sections)
        shown = {section: self._shown(findings) for section, findings in found.items()}
        faults = [finding for findings in shown.values() for finding in findings]
        told = self._told_findings(shown)
        duties = duty.told(self._snapshot) if duty is not None else {}
        return LoopAnswer(
            kb_version=self._snapshot.version,
            verdict=verdict,
            summary=loop_summary(verdict, self._question.name, [*found], len(joints), faults),
            findings=told,
            cautions=_with_cautions_of_filling(tell_cautions(self._snapshot, told), duties.get("fill")),
            sources=tell_sources(self._snapshot, told),
            name=self._question.name,
            sections=sections,
            joints=tuple(
                LoopJointTold(
                    place=joint.place,
                    run=run,
                    verdict=joint.verdict,
                    sentence=joint_sentence(self._snapshot, joint.findings),
                )
                for run, joint in joints
            ),
            needed=tuple(self._needed(runs)) if Section.JOINTS in found else (),
            chemistry=tell_chemistry(self._snapshot, chemistry) if chemistry is not None else None,
            **duties,
        )

    def _told_findings(self, shown: Mapping[Section, list[Finding]]) -> tuple[FindingTold, ...]:
        """Return findings with their sections, the most severe of all sections first."""
        told = (
            one.model_copy(update={"section": section.value})
            for section, findings in shown.items()
            for one in tell_findings(self._snapshot, findings)
        )
        return tuple(in_telling_order(told))

    def _shown(self, findings: list[Finding]) -> list[Finding]:
        return [one for one in findings if self._question.detail == "all" or one.verdict is not Verdict.COMPATIBLE]

    def _needed(self, runs: list[JudgedRun]) -> Iterator[NeededTold]:
        named: Counter[str] = sum((run.parts for run in runs), Counter())
        suggested = Counter(part for run in runs for part in run.suggested)
        named.update(one.is_ for one in self._question.parts.values() if one.is_ is not None)
        for part, count in sorted(named.items()):
            yield NeededTold(part=part, title=row_name(self._snapshot, part), count=count, suggested=False)
        for part, count in sorted(suggested.items()):
            yield NeededTold(part=part, title=row_name(self._snapshot, part), count=count, suggested=True)
        yield from self._tubes_needed()

    def _tubes_needed(self) -> Iterator[NeededTold]:
        counts: Counter[str] = Counter()
        lengths: dict[str, float] = {}
        for run in self._loop.runs:
            if run.tube is not None:
                key = run.tube.base_id or run.tube.id
                counts[key] += 1
                lengths[key] = lengths.get(key, 0.0) + (run.asked.length_mm or 0.0)
        for part, count in sorted(counts.items()):
            length = lengths[part] or None
            title = row_name(self._snapshot, part)
            yield NeededTold(part=part, title=title, count=count, length_mm=length, suggested=False)


def _with_cautions_of_filling(cautions: tuple[CautionTold, ...], fill: FillTold | None) -> tuple[CautionTold, ...]:
    """Return all cautions by id: steps of filling and testing carry theirs whether or not a finding does."""
    every = {one.id: one for one in (*cautions, *(fill.cautions if fill is not None else ()))}
    return tuple(every[one] for one in sorted(every))


def _widest_collar(fitting: Part) -> Fact | None:
    collars = [fact for end in fitting.elements if (fact := _collar(end)) is not None]
    return max(collars, key=lambda fact: float(fact.value), default=None)


def _collar(end: Element) -> Fact | None:
    return end.fact("collar_diameter_mm") if isinstance(end.row, FittingEnd) else None


def answer_loop(
    snapshot: Snapshot,
    resolver: Resolver,
    index: PartnerIndex,
    question: LoopQuestion,
    conditions: Mapping[str, float],
    budget: Budget = UNLIMITED,
) -> LoopAnswer:
    """Return whether a loop goes together, joint by joint, and what is missing.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates for what is missing.
        question: the loop.
        conditions: quantity id -> value the asker stated.
        budget: how long the answer may take.

    Raises:
        QuestionError: if a part or port does not exist.
        BudgetSpentError: if it takes longer.
    """
    loop = resolve_loop(snapshot, resolver, question, conditions, budget)
    return LoopJudge(snapshot, resolver, index, loop).answer()
