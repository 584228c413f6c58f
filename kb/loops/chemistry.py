"""The chemistry of a loop: surfaces of every part, the fluid, and what meets.

Owns: collecting the surfaces of each circuit. Does not own: judging pairs
(`kb/compatibility/materials/exposure.py`) or the mechanical joints (`kb/loops/judge.py`).
Circuits share the named fluid but no coolant: metals of one do not meet those of another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.joint import Joint
from kb.compatibility.materials.exposure import FLUID_MISSING, MATERIAL_MISSING, Exposure, judge_exposure
from kb.compatibility.materials.wetted_surfaces import Surface, surfaces_of, tube_wetted_area_cm2
from kb.evidence.tree import Finding, Missing, RuleHit
from kb.loops.loop import LoopPart, LoopRun, ResolvedLoop
from kb.loops.topology import circuits, part_of
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


def judge_loop_chemistry(
    snapshot: Snapshot, loop: ResolvedLoop, conditions: Mapping[str, float]
) -> LoopChemistry | None:
    """Judge the substances of a loop, circuit by circuit; nothing if the question names no fluid.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        conditions: quantity id -> value stated, or computed of the loop.
    """
    if loop.fluid is None:
        return None
    fluid, additives = loop.fluid.elements[0], loop.fluid.additives
    found = [_wetted(snapshot, loop, names) for names in closed_circuits(loop)]
    groups = [tuple(surface for _, group in places for surface in group) for places in found]
    exposures = [judge_exposure(snapshot, group, fluid, additives, conditions) for group in groups]
    surfaces = tuple(dict.fromkeys(surface for group in groups for surface in group))
    exposure = exposures[0] if len(exposures) == 1 else _together(exposures)
    findings = _each_once([one for joint in exposure.joints for one in joint.findings])
    empty = dict.fromkeys(place for places in found for place, group in places if not group)
    return LoopChemistry(loop.fluid, surfaces, exposure, [*findings, *map(_gap, empty)])


def closed_circuits(loop: ResolvedLoop) -> tuple[frozenset[str], ...]:
    """Return the parts of each circuit that a pump of its own drives, with all parts that belong to none.

    A part without a pump may still be meant for any circuit, so it counts to each: else a run that nobody wrote down
    would hide that two metals meet. At least one group is returned.

    Args:
        loop: the loop.
    """
    groups = [frozenset(names) for names in circuits(loop.question)]
    driven = [names for names in groups if any(loop.parts[name].asked.kind == "pump" for name in names)]
    loose = frozenset(loop.parts) - frozenset(name for names in driven for name in names)
    return tuple(names | loose for names in driven) or (loose,)


def _wetted(snapshot: Snapshot, loop: ResolvedLoop, names: frozenset[str]) -> list[tuple[str, tuple[Surface, ...]]]:
    """Return every place of a circuit with its surfaces, tubes and fittings first."""
    runs = [run for run in loop.runs if part_of(run.asked.from_) in names]
    plugs = [part for port, part in loop.plugs.items() if part_of(port) in names]
    lengths = _tube_lengths(runs)
    found = [(part.id, _surfaces(snapshot, part.id, part, lengths)) for part in _each_kind(runs, plugs)]
    return found + [(name, _component(snapshot, part)) for name, part in loop.parts.items() if name in names]


def _together(exposures: Sequence[Exposure]) -> Exposure:
    """Return circuits as one: what is found in several of them is told once, as it is worst."""
    return Exposure(*(_worst_of_each(group) for group in zip(*exposures, strict=True)))


def _worst_of_each(groups: Iterable[Iterable[Joint]]) -> tuple[Joint, ...]:
    worst: dict[str, Joint] = {}
    for joint in (joint for group in groups for joint in group):
        known = worst.get(joint.place)
        if known is None or joint.verdict.severity > known.verdict.severity:
            worst[joint.place] = joint
    return tuple(worst.values())


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


def _each_kind(runs: Iterable[LoopRun], plugs: Iterable[Part]) -> Iterator[Part]:
    """Yield every kind of tube and fitting once."""
    kinds: dict[PartKey, Part] = {}
    for run in runs:
        for part in (run.tube, *run.first, *run.last):
            if part is not None:
                kinds.setdefault(_key(part), part)
    for part in plugs:
        kinds.setdefault(_key(part), part)
    yield from kinds.values()


def _tube_lengths(runs: Iterable[LoopRun]) -> dict[PartKey, float]:
    """Return the length of every kind of tube in runs [mm]; kinds with a run of unknown length are left out."""
    lengths: dict[PartKey, list[float | None]] = defaultdict(list)
    for run in runs:
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
