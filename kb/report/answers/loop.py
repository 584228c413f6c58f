"""The answer about a loop: whether it goes together, and what is missing.

Owns: decisions on a loop -> `LoopAnswer`. Does not own: judging (`kb/loops/judge.py`) or the sections
(`kb/report/sections/`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from kb.evidence.tree import Finding
from kb.loops.judge import LoopDecision
from kb.report.answers.evidence import in_telling_order, tell_cautions, tell_findings, tell_sources
from kb.report.sections.chemistry import tell_chemistry
from kb.report.sentences.findings import joint_sentence, loop_summary, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CautionTold, FindingTold
from schemas.answers.fill import FillTold
from schemas.answers.loop import LoopAnswer, LoopJointTold, NeededTold, SectionTold
from schemas.questions.choices import Section
from schemas.verdict import Verdict, worst


def answer_loop(snapshot: Snapshot, decision: LoopDecision) -> LoopAnswer:
    """Return whether a loop goes together, joint by joint, and what is missing.

    Args:
        snapshot: the knowledge.
        decision: what was decided.
    """
    question, found = decision.loop.question, decision.findings
    sections = tuple(
        SectionTold(section=section, verdict=worst(one.verdict for one in findings))
        for section, findings in found.items()
    )
    verdict = worst(one.verdict for one in sections)
    shown = {section: _shown(findings, question.detail) for section, findings in found.items()}
    faults = [finding for findings in shown.values() for finding in findings]
    told = _told_findings(snapshot, shown)
    duties = _duties(snapshot, decision)
    return LoopAnswer(
        kb_version=snapshot.version,
        verdict=verdict,
        summary=loop_summary(verdict, question.name, [*found], len(decision.joints), faults),
        findings=told,
        cautions=_with_cautions_of_filling(tell_cautions(snapshot, told), duties.get("fill")),
        sources=tell_sources(snapshot, told),
        name=question.name,
        sections=sections,
        joints=tuple(_joints(snapshot, decision)),
        needed=tuple(_needed(snapshot, decision)) if Section.JOINTS in found else (),
        chemistry=tell_chemistry(snapshot, decision.chemistry) if decision.chemistry is not None else None,
        **duties,
    )


def _shown(findings: Iterable[Finding], detail: str) -> list[Finding]:
    return [one for one in findings if detail == "all" or one.verdict is not Verdict.COMPATIBLE]


def _told_findings(snapshot: Snapshot, shown: Mapping[Section, Sequence[Finding]]) -> tuple[FindingTold, ...]:
    """Return findings with their sections, the most severe of all sections first."""
    told = (
        one.model_copy(update={"section": section.value})
        for section, findings in shown.items()
        for one in tell_findings(snapshot, findings)
    )
    return tuple(in_telling_order(told))


def _duties(snapshot: Snapshot, decision: LoopDecision) -> dict[str, Any]:
    """Return the computed sections, by field of the answer."""
    duty = decision.duty
    if duty is None:
        return {}
    from kb.report.sections.fill import tell_fill  # noqa: PLC0415 - their libraries take long to import
    from kb.report.sections.flow import tell_flow  # noqa: PLC0415
    from kb.report.sections.heat import tell_heat  # noqa: PLC0415
    from kb.report.sections.space import tell_space  # noqa: PLC0415

    return {
        "flow": tell_flow(snapshot, duty.flow) if duty.flow is not None else None,
        "heat": tell_heat(snapshot, duty.heat) if duty.heat is not None else None,
        "fill": tell_fill(snapshot, duty.fill) if duty.fill is not None else None,
        "space": tell_space(snapshot, duty.space) if duty.space is not None else None,
    }


def _joints(snapshot: Snapshot, decision: LoopDecision) -> Iterator[LoopJointTold]:
    for run, joint in decision.joints:
        sentence = joint_sentence(snapshot, joint.findings)
        yield LoopJointTold(place=joint.place, run=run, verdict=joint.verdict, sentence=sentence)


def _with_cautions_of_filling(cautions: tuple[CautionTold, ...], fill: FillTold | None) -> tuple[CautionTold, ...]:
    """Return all cautions by id: steps of filling and testing carry theirs whether or not a finding does."""
    every = {one.id: one for one in (*cautions, *(fill.cautions if fill is not None else ()))}
    return tuple(every[one] for one in sorted(every))


def _needed(snapshot: Snapshot, decision: LoopDecision) -> Iterator[NeededTold]:
    named: Counter[str] = sum((run.parts for run in decision.runs), Counter())
    suggested = Counter(part for run in decision.runs for part in run.suggested)
    named.update(one.is_ for one in decision.loop.question.parts.values() if one.is_ is not None)
    for part, count in sorted(named.items()):
        yield NeededTold(part=part, title=row_name(snapshot, part), count=count, suggested=False)
    for part, count in sorted(suggested.items()):
        yield NeededTold(part=part, title=row_name(snapshot, part), count=count, suggested=True)
    yield from _tubes_needed(snapshot, decision)


def _tubes_needed(snapshot: Snapshot, decision: LoopDecision) -> Iterator[NeededTold]:
    counts: Counter[str] = Counter()
    lengths: dict[str, float] = {}
    for run in decision.loop.runs:
        if run.tube is not None:
            key = run.tube.base_id or run.tube.id
            counts[key] += 1
            lengths[key] = lengths.get(key, 0.0) + (run.asked.length_mm or 0.0)
    for part, count in sorted(counts.items()):
        title = row_name(snapshot, part)
        yield NeededTold(part=part, title=title, count=count, length_mm=lengths[part] or None, suggested=False)
