"""The question: does this loop go together, and what is missing?

Owns: the way from a loop to its answer. Does not own: joints along a run (`kb/loop_ways.py`), the structure as a whole
(`kb/loop_structure.py`), suggestions (`kb/between.py`) or words.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import islice
from typing import NamedTuple

from kb.between import find_chains
from kb.evidence import Fact, Finding, Number
from kb.explain import tell_cautions, tell_findings, tell_sources
from kb.faults import QuestionError
from kb.fit.port_fit import collar_gap_mm
from kb.joint import Joint
from kb.limits import judge_number
from kb.loop_chemistry import LoopChemistry, fluid_missing, judge_loop_chemistry, tell_chemistry
from kb.loop_structure import count_finding, port_uses, structure_findings
from kb.loop_ways import Station, Way, mildest_way, part_station, port_station
from kb.pair import decide_pair
from kb.partner_index import PartnerIndex
from kb.parts import Element, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from kb.wording import joint_sentence, loop_summary, row_name
from schemas.answers import LoopAnswer, LoopJointTold, NeededTold
from schemas.questions import LoopQuestion, Run
from schemas.tables.fitting_ends import FittingEnd
from schemas.verdict import Verdict, worst

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

    def __init__(
        self,
        snapshot: Snapshot,
        resolver: Resolver,
        index: PartnerIndex,
        question: LoopQuestion,
        conditions: Mapping[str, float],
    ) -> None:
        self._snapshot = snapshot
        self._resolver = resolver
        self._index = index
        self._question = question
        self._conditions = conditions
        self._ports = dict(self._all_ports())
        self._suggested: dict[tuple[object, str], tuple[str, ...]] = {}

    def answer(self) -> LoopAnswer:
        """Return the answer.

        Raises:
            QuestionError: if a part or port does not exist.
        """
        self._check_port_names()
        runs = [self._run(index, run) for index, run in enumerate(self._question.runs)]
        plugs = [self._plug(port) for port in self._question.plugs]
        joints = [(run.name, joint) for run in (*runs, *plugs) for joint in run.joints]
        chemistry = self._chemistry()
        findings: list[Finding] = []
        if "joints" in self._question.sections:
            findings += [finding for _, joint in joints for finding in joint.findings]
            findings += [finding for run in (*runs, *plugs) for finding in run.findings]
            findings += structure_findings(self._snapshot, self._question, self._ports, self._closers())
            findings += self._spacings()
        if "chemistry" in self._question.sections:
            findings += chemistry.findings if chemistry is not None else [fluid_missing(self._question.name)]
        return self._told(joints, findings, [*runs, *plugs], chemistry)

    def _chemistry(self) -> LoopChemistry | None:
        if "chemistry" not in self._question.sections:
            return None
        return judge_loop_chemistry(self._snapshot, self._resolver, self._question, self._conditions)

    def _all_ports(self) -> Iterator[tuple[str, Element]]:
        for name, component in self._question.parts.items():
            if component.is_ is not None:
                body = self._resolver.archetype(component.is_, f"parts.{name}.is")
                for end in body.elements:
                    letter = end.label.rsplit(" ", 1)[-1]
                    yield f"{name}.{letter}", dataclasses.replace(end, label=f"{name}.{letter}")
            for port, reference in component.ports.items():
                field = f"parts.{name}.ports.{port}"
                part = self._resolver.part(reference, field)
                if part.kind != "port":
                    raise QuestionError(field, f"{part.id} is a {part.kind}, not a port", "name a port", ())
                yield f"{name}.{port}", dataclasses.replace(part.elements[0], label=f"{name}.{port}")

    def _check_port_names(self) -> None:
        for index, run in enumerate(self._question.runs):
            self._check_port(run.from_, f"runs.{index}.from")
            self._check_port(run.to, f"runs.{index}.to")
        for port in self._question.plugs:
            self._check_port(port, f"plugs.{port}")
        for index, spacing in enumerate(self._question.spacings):
            for port in spacing.ports:
                self._check_port(port, f"spacings.{index}.ports")

    def _check_port(self, port: str, field: str) -> None:
        if port not in self._ports:
            from rapidfuzz import process  # noqa: PLC0415 - only needed on the way to an error

            nearest = [match[0] for match in process.extract(port, list(self._ports), limit=3)]
            raise QuestionError(field, f"no part has a port {port!r}", "name it part.port", nearest)

    def _run(self, index: int, run: Run) -> JudgedRun:
        field = f"runs.{index}"
        first = [self._fitting(one, f"{field}.fittings_from.{at}") for at, one in enumerate(run.fittings_from)]
        last = [self._fitting(one, f"{field}.fittings_to.{at}") for at, one in enumerate(run.fittings_to)]
        tube = self._tube(run, field)
        start, end = self._ports[run.from_], self._ports[run.to]
        name = f"{run.from_} to {run.to}"
        findings: list[Finding] = []
        suggested: list[str] = []
        ways: list[Way] = []
        if tube is None:
            ways.append(self._way([port_station(start), *map(part_station, first + last[::-1]), port_station(end)]))
        else:
            for port, fittings in ((start, first), (end, last)):
                missing = self._missing(port, tube) if not fittings else None
                if missing is not None:
                    findings.append(missing)
                    suggested += missing.mends
                else:
                    ways.append(self._way([port_station(port), *map(part_station, fittings), part_station(tube)]))
        findings += self._open_ends(first + last, ways, name)
        parts = Counter(part.base_id or part.id for part in (*first, *last))
        joints = tuple(joint for way in ways for joint in way.joints)
        return JudgedRun(name, joints, tuple(findings), parts, tuple(suggested))

    def _way(self, stations: list[Station]) -> Way:
        return mildest_way(self._snapshot, stations, self._conditions)

    def _fitting(self, reference: object, field: str) -> Part:
        part = self._resolver.part(reference, field)  # type: ignore[arg-type]
        if part.kind != "fitting":
            raise QuestionError(field, f"{part.id} is a {part.kind}, not a fitting", "name a fitting", ())
        return part

    def _tube(self, run: Run, field: str) -> Part | None:
        if run.tube is None:
            return None
        part = self._resolver.part(run.tube, f"{field}.tube")
        if part.kind != "tube":
            raise QuestionError(f"{field}.tube", f"{part.id} is a {part.kind}, not a tube", "name a tube", ())
        return part

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

    def _open_ends(self, fittings: list[Part], ways: list[Way], run: str) -> Iterator[Finding]:
        used = {id(element) for way in ways for element in way.used}
        for fitting in fittings:
            ends = [end for end in fitting.elements if id(end) not in used]
            if ways and len(fitting.elements) > 2:  # noqa: PLR2004 - a straight body has two ends, both used
                for end in ends:
                    yield count_finding(self._snapshot, "open-ends", 1, f"{end.label} ({run})")

    def _plug(self, port: str) -> JudgedRun:
        reference = self._question.plugs[port]
        part = self._fitting(reference, f"plugs.{port}")
        body = Part(port, "port", "", (self._ports[port],))
        decision = decide_pair(self._snapshot, body, part, self._conditions)
        open_ends = [
            count_finding(self._snapshot, "open-ends", 1, f"{end.label} (plug of {port})")
            for end in part.elements
            if end not in (decision.joint.first, decision.joint.second)
        ]
        return JudgedRun(f"plug of {port}", (decision.joint,), tuple(open_ends), Counter([part.base_id or part.id]), ())

    def _closers(self) -> dict[str, tuple[str, ...]]:
        """Return, for every open port, the first part that would close it."""
        uses = port_uses(self._question)
        return {port: self._closer(self._ports[port]) for port in self._ports if uses[port] == 0}

    def _closer(self, port: Element) -> tuple[str, ...]:
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
        for run in self._question.runs:
            for port, fittings in ((run.from_, run.fittings_from), (run.to, run.fittings_to)):
                if fittings:
                    widest = _widest_collar(self._resolver.part(fittings[0], port))
                    if widest is not None:
                        found[port] = widest
        return found

    def _told(
        self,
        joints: list[tuple[str, Joint]],
        findings: list[Finding],
        runs: list[JudgedRun],
        chemistry: LoopChemistry | None,
    ) -> LoopAnswer:
        verdict = worst(finding.verdict for finding in findings)
        shown = [one for one in findings if self._question.detail == "all" or one.verdict is not Verdict.COMPATIBLE]
        told = tell_findings(self._snapshot, shown)
        return LoopAnswer(
            kb_version=self._snapshot.version,
            verdict=verdict,
            summary=loop_summary(verdict, self._question.name, len(joints), shown),
            findings=told,
            cautions=tell_cautions(self._snapshot, told),
            sources=tell_sources(self._snapshot, told),
            name=self._question.name,
            joints=tuple(
                LoopJointTold(
                    place=joint.place,
                    run=run,
                    verdict=joint.verdict,
                    sentence=joint_sentence(self._snapshot, joint.findings),
                )
                for run, joint in joints
            ),
            needed=tuple(self._needed(runs)),
            chemistry=tell_chemistry(self._snapshot, chemistry) if chemistry is not None else None,
        )

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
        for index, run in enumerate(self._question.runs):
            tube = self._tube(run, f"runs.{index}")
            if tube is not None:
                key = tube.base_id or tube.id
                counts[key] += 1
                lengths[key] = lengths.get(key, 0.0) + (run.length_mm or 0.0)
        for part, count in sorted(counts.items()):
            length = lengths[part] or None
            title = row_name(self._snapshot, part)
            yield NeededTold(part=part, title=title, count=count, length_mm=length, suggested=False)


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
) -> LoopAnswer:
    """Return whether a loop goes together, joint by joint, and what is missing.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates for what is missing.
        question: the loop.
        conditions: quantity id -> value the asker stated.

    Raises:
        QuestionError: if a part or port does not exist.
    """
    return LoopJudge(snapshot, resolver, index, question, conditions).answer()
