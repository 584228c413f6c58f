"""The chemistry of a loop: surfaces of every part, the fluid, and what meets.

Owns: collecting the surfaces of a loop. Does not own: judging pairs
(`kb/compatibility/materials/exposure.py`) or the mechanical joints (`kb/loops/judge.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import NamedTuple, TypeAlias

from kb.compatibility.materials.exposure import FLUID_MISSING, MATERIAL_MISSING, Exposure, judge_exposure
from kb.compatibility.materials.wetted_surfaces import Surface, surfaces_of, tube_wetted_area_cm2
from kb.evidence.tree import Finding, Missing, RuleHit
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables.tubes import Tube
from schemas.tables.wetted_materials import WettedRole

PartKey: TypeAlias = tuple[str, tuple[tuple[str, str | None], ...]]


class LoopChemistry(NamedTuple):
    """What was found about the substances of a loop.

    Attributes:
        fluid: the fluid.
        surfaces: every surface it touches.
        exposure: every pair, judged.
        findings: everything that was found, parts whose material nobody knows included; a rule that says the same of
            several materials is reported once, for all of them.
    """

    fluid: Part
    surfaces: tuple[Surface, ...]
    exposure: Exposure
    findings: list[Finding]


def judge_loop_chemistry(snapshot: Snapshot, loop: ResolvedLoop) -> LoopChemistry | None:
    """Judge the substances of a loop; nothing if the question names no fluid.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    if loop.fluid is None:
        return None
    lengths = _tube_lengths(loop)
    found = [(place, _surfaces(snapshot, place, part, lengths)) for place, part in _parts(loop)]
    found += [(name, _component(snapshot, part)) for name, part in loop.parts.items()]
    surfaces = tuple(surface for _, group in found for surface in group)
    exposure = judge_exposure(snapshot, surfaces, loop.fluid.elements[0], loop.fluid.additives, loop.conditions)
    findings = _each_once([one for joint in exposure.joints for one in joint.findings])
    findings += [_gap(place) for place, group in found if not group]
    return LoopChemistry(loop.fluid, surfaces, exposure, findings)


def fluid_missing(loop: str) -> Finding:
    """Return the finding that a loop names no fluid, so that nothing is said of its materials."""
    return Finding(FLUID_MISSING, Judgement.GAP, loop, (Missing(loop, "fluid", "fluid"),))


def _each_once(findings: list[Finding]) -> list[Finding]:
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        groups.setdefault(_sameness(finding), []).append(finding)
    return [_joined(group) for group in groups.values()]


def _sameness(finding: Finding) -> tuple[str, ...]:
    """Return what makes two findings the same reason: one rule, in one light; anything else stands for itself."""
    lead = finding.evidence[0]
    if isinstance(lead, RuleHit) and len(finding.evidence) == 1:
        return (
            finding.code,
            finding.judgement.value,
            finding.verdict.value,
            lead.rule.id,
            _near_and_far(finding.place)[1],
        )
    return finding.code, finding.verdict.value, finding.place


def _joined(group: list[Finding]) -> Finding:
    places = list(dict.fromkeys(finding.place for finding in group))
    if len(places) == 1:
        return group[0]
    near = ", ".join(_near_and_far(place)[0] for place in places)
    return group[0]._replace(place=f"{near}{_near_and_far(places[0])[1]}")


def _near_and_far(place: str) -> tuple[str, str]:
    """Split the name of a pair before what all of its kind meet: `with fluid/...`, or `in fluid/...` of couples."""
    link = " with " if place.split(" ")[1:2] == ["with"] else " in "
    near, _, far = place.partition(link)
    return near, f"{link}{far}"


def _parts(loop: ResolvedLoop) -> Iterator[tuple[str, Part]]:
    """Yield every kind of tube and fitting of the loop once, under the place where it is first used."""
    seen: set[PartKey] = set()
    for part in _all_parts(loop):
        if _key(part) not in seen:
            seen.add(_key(part))
            yield part.id, part


def _all_parts(loop: ResolvedLoop) -> Iterator[Part]:
    for run in loop.runs:
        yield from (part for part in (run.tube, *run.first, *run.last) if part is not None)
    yield from loop.plugs.values()


def _tube_lengths(loop: ResolvedLoop) -> dict[PartKey, float]:
    """Return the length of every kind of tube in the loop [mm]; kinds with a run of unknown length are left out."""
    lengths: dict[PartKey, list[float | None]] = defaultdict(list)
    for run in loop.runs:
        if run.tube is not None:
            lengths[_key(run.tube)].append(run.asked.length_mm)
    return {key: sum(one or 0.0 for one in known) for key, known in lengths.items() if None not in known}


def _key(part: Part) -> PartKey:
    return part.base_id or part.id, part.materials


def _surfaces(snapshot: Snapshot, place: str, part: Part, lengths: Mapping[PartKey, float]) -> tuple[Surface, ...]:
    return surfaces_of(snapshot, place, part.families, dict(part.materials), _tube_area(part, lengths))


def _tube_area(part: Part, lengths: Mapping[PartKey, float]) -> dict[str, float]:
    """Return the wetted area of a tube [cm2] under its role, where bore and length are known."""
    row, length = part.elements[0].row, lengths.get(_key(part))
    if not isinstance(row, Tube) or length is None:
        return {}
    bore = row.id_mm or (row.od_mm - 2 * row.wall_mm if row.od_mm and row.wall_mm else None)
    return {WettedRole.TUBE.value: tube_wetted_area_cm2(bore, length)} if bore else {}


def _component(snapshot: Snapshot, part: LoopPart) -> tuple[Surface, ...]:
    given = {role.value: material for role, material in part.asked.materials.items()}
    areas = {role.value: area for role, area in part.asked.areas_cm2.items()}
    return surfaces_of(snapshot, part.name, part.families, given, areas)


def _gap(place: str) -> Finding:
    return Finding(MATERIAL_MISSING, Judgement.GAP, place, (Missing(place, "material", "materials"),))
