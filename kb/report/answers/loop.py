"""The answer about a loop: whether it goes together, and what is missing.

Owns: decisions on a loop -> `LoopAnswer`. Does not own: judging (`kb/loops/judge.py`) or the sections
(`kb/report/sections/`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from kb.evidence.tree import Finding, verdict_of
from kb.loops.judge import LoopDecision
from kb.report.answers.evidence import in_report_order, report_cautions, report_findings, report_sources
from kb.report.answers.requirements import report_requirements, report_strength, unused_conditions
from kb.report.sections.chemistry import report_chemistry
from kb.report.sentences.cause import cause_rank, cause_sentence
from kb.report.sentences.findings import joint_sentence, loop_summary, row_name, stated_summary
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CitedCaution
from schemas.answers.answers import Finding as FindingAnswer
from schemas.answers.fill import FillSection
from schemas.answers.loop import LoopAnswer, LoopJoint, PartsListLine, SectionVerdict
from schemas.level import Judgement
from schemas.questions.choices import Section


def answer_loop(snapshot: Snapshot, decision: LoopDecision) -> LoopAnswer:
    """Return whether a loop can be assembled, joint by joint, and what is missing.

    Args:
        snapshot: the knowledge.
        decision: what was decided.
    """
    question, found = decision.loop.question, decision.findings
    sections = tuple(
        SectionVerdict(section=section, verdict=verdict_of(findings)) for section, findings in found.items()
    )
    verdict = verdict_of(finding for findings in found.values() for finding in findings)
    shown = {section: _shown(findings, question.detail) for section, findings in found.items()}
    faults = [finding for findings in shown.values() for finding in findings]
    reported = _reported_findings(snapshot, shown)
    results = _with_verdicts(_duties(snapshot, decision), sections)
    every = [finding for findings in found.values() for finding in findings]
    summary = loop_summary(snapshot, verdict, question.name, [*found], len(decision.joints), faults)
    cause = cause_sentence(snapshot, in_report_order(every), question.name)
    summary = f"{cause} {summary}" if cause is not None else summary
    return LoopAnswer(
        kb_version=snapshot.version,
        verdict=verdict,
        summary=stated_summary(snapshot, every, summary),
        findings=reported,
        requirements=report_requirements(snapshot, every, decision.loop.met),
        strength=report_strength(every),
        unused=_unused(decision, every),
        cautions=_with_cautions_of_filling(report_cautions(snapshot, reported), results.get("fill")),
        sources=report_sources(snapshot, reported),
        name=question.name,
        sections=sections,
        joints=tuple(_joints(snapshot, decision)),
        parts_list=tuple(_parts_list(snapshot, decision)) if Section.JOINTS in found else (),
        chemistry=report_chemistry(snapshot, decision.chemistry) if decision.chemistry is not None else None,
        **results,
    )


def _with_verdicts(results: dict[str, Any], sections: Sequence[SectionVerdict]) -> dict[str, Any]:
    """Return the computed sections with the verdicts that they have once requirements are settled."""
    verdicts = {one.section.value: one.verdict for one in sections}
    return {
        name: result if result is None else replace(result, verdict=verdicts.get(name, result.verdict))
        for name, result in results.items()
    }


def _unused(decision: LoopDecision, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Return the stated quantities that nothing in the loop looks at."""
    joints = [joint for _, joint in decision.joints]
    joints += decision.chemistry.exposure.joints if decision.chemistry is not None else ()
    idle = [finding for joint in joints for finding in (*joint.findings, *joint.idle)]
    stated = [one for one in decision.loop.conditions if one not in _ALWAYS_USED]
    return unused_conditions((*findings, *idle), stated)


_ALWAYS_USED = frozenset({"quantity/coolant-temperature", "quantity/inhibited", "quantity/glycol-share"})


def _shown(findings: Iterable[Finding], detail: str) -> list[Finding]:
    return [one for one in findings if detail == "all" or one.judgement is not Judgement.PASS]


def _reported_findings(snapshot: Snapshot, shown: Mapping[Section, Sequence[Finding]]) -> tuple[FindingAnswer, ...]:
    """Return findings with their sections, the most severe of all sections first, of these causes."""
    reported = (
        replace(one, section=section.value)
        for section, findings in shown.items()
        for one in report_findings(snapshot, findings)
    )
    return tuple(in_report_order(sorted(reported, key=cause_rank)))


def _duties(snapshot: Snapshot, decision: LoopDecision) -> dict[str, Any]:
    """Return the computed sections, by field of the answer."""
    performance = decision.performance
    if performance is None:
        return {}
    from kb.report.sections.fill import report_fill  # noqa: PLC0415 - their libraries take long to import
    from kb.report.sections.flow import report_flow  # noqa: PLC0415
    from kb.report.sections.heat import report_heat  # noqa: PLC0415
    from kb.report.sections.space import report_space  # noqa: PLC0415

    return {
        "flow": report_flow(snapshot, performance.flow) if performance.flow is not None else None,
        "heat": report_heat(snapshot, performance.heat) if performance.heat is not None else None,
        "fill": report_fill(snapshot, performance.fill) if performance.fill is not None else None,
        "space": report_space(snapshot, performance.space) if performance.space is not None else None,
    }


def _joints(snapshot: Snapshot, decision: LoopDecision) -> Iterator[LoopJoint]:
    for run, joint in decision.joints:
        sentence = joint_sentence(snapshot, joint.findings)
        yield LoopJoint(place=joint.place, run=run, verdict=joint.verdict, sentence=sentence)


def _with_cautions_of_filling(cautions: tuple[CitedCaution, ...], fill: FillSection | None) -> tuple[CitedCaution, ...]:
    """Return all cautions by id: steps of filling and testing carry theirs whether or not a finding does."""
    every = {one.id: one for one in (*cautions, *(fill.cautions if fill is not None else ()))}
    return tuple(every[one] for one in sorted(every))


def _parts_list(snapshot: Snapshot, decision: LoopDecision) -> Iterator[PartsListLine]:
    named: Counter[str] = sum((run.parts for run in decision.runs), Counter())
    suggested = Counter(part for run in decision.runs for part in run.suggested)
    named.update(one.is_ for one in decision.loop.question.parts.values() if one.is_ is not None)
    for part, count in sorted(named.items()):
        yield PartsListLine(part=part, title=row_name(snapshot, part), count=count, suggested=False)
    for part, count in sorted(suggested.items()):
        yield PartsListLine(part=part, title=row_name(snapshot, part), count=count, suggested=True)
    yield from _tubes_parts_list(snapshot, decision)


def _tubes_parts_list(snapshot: Snapshot, decision: LoopDecision) -> Iterator[PartsListLine]:
    counts: Counter[str] = Counter()
    lengths: dict[str, float] = {}
    for run in decision.loop.runs:
        if run.tube is not None:
            key = run.tube.base_id or run.tube.id
            counts[key] += 1
            lengths[key] = lengths.get(key, 0.0) + (run.asked.length_mm or 0.0)
    for part, count in sorted(counts.items()):
        title = row_name(snapshot, part)
        yield PartsListLine(part=part, title=title, count=count, length_mm=lengths[part] or None, suggested=False)
