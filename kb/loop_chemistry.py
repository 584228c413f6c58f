"""The chemistry of a loop: surfaces of every part, the fluid, and what meets.

Owns: collecting the surfaces of a loop and telling what was found. Does not own: judging meetings
(`kb/chemistry/exposure.py`) or the mechanical joints (`kb/loop.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from kb.chemistry.exposure import MATERIAL_MISSING, Exposure, judge_exposure
from kb.chemistry.surfaces import Surface, surfaces_of
from kb.evidence import Finding, Missing
from kb.faults import QuestionError
from kb.joint import Joint
from kb.parts import ElementKind, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from kb.wording import joint_sentence, row_name
from schemas.answers import ChemistryTold, MeetingTold, SurfaceTold
from schemas.questions import LoopComponent, LoopQuestion
from schemas.tables.fluids import Fluid
from schemas.verdict import Verdict, worst


class LoopChemistry(NamedTuple):
    """What was found about the substances of a loop.

    Attributes:
        fluid: the fluid.
        surfaces: every surface it touches.
        exposure: every meeting, judged.
        gaps: parts whose material nobody knows.
    """

    fluid: Part
    surfaces: tuple[Surface, ...]
    exposure: Exposure
    gaps: tuple[Finding, ...]

    @property
    def findings(self) -> list[Finding]:
        """Everything that was found."""
        return [finding for joint in self.exposure.joints for finding in joint.findings] + list(self.gaps)


def judge_loop_chemistry(
    snapshot: Snapshot, resolver: Resolver, question: LoopQuestion, conditions: Mapping[str, float]
) -> LoopChemistry | None:
    """Judge the substances of a loop; nothing if the question names no fluid.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        question: the loop.
        conditions: quantity id -> value the asker stated.

    Raises:
        QuestionError: if a part, fluid or material does not exist.
    """
    if question.fluid is None:
        return None
    fluid = resolver.part(question.fluid, "fluid")
    element = fluid.elements[0]
    if element.kind is not ElementKind.FLUID:
        raise QuestionError("fluid", f"{fluid.id} is no fluid", "name a fluid, such as fluid/distilled-water")
    found = [(place, _surfaces(snapshot, place, part)) for place, part in _parts(resolver, question)]
    found += [(name, _component(snapshot, resolver, name, one)) for name, one in question.parts.items()]
    surfaces = tuple(surface for _, group in found for surface in group)
    exposure = judge_exposure(snapshot, surfaces, element, fluid.additives, conditions)
    gaps = tuple(_gap(place) for place, group in found if not group)
    return LoopChemistry(fluid, surfaces, exposure, gaps)


def tell_chemistry(snapshot: Snapshot, chemistry: LoopChemistry) -> ChemistryTold:
    """Return the chemistry of a loop in the shape of answers."""
    row = chemistry.fluid.elements[0].row
    exposure = chemistry.exposure
    return ChemistryTold(
        fluid=chemistry.fluid.base_id or chemistry.fluid.id,
        verdict=worst(finding.verdict for finding in chemistry.findings),
        surfaces=tuple(_tell_surface(snapshot, surface) for surface in chemistry.surfaces),
        contacts=_tell_meetings(snapshot, exposure.contacts),
        couples=_tell_meetings(snapshot, exposure.couples),
        mixture=_tell_meetings(snapshot, exposure.mixture),
        platings=_tell_meetings(snapshot, exposure.platings),
        change_after_months=row.service_interval_months if isinstance(row, Fluid) else None,
    )


def _parts(resolver: Resolver, question: LoopQuestion) -> Iterator[tuple[str, Part]]:
    """Yield every kind of tube and fitting of the loop once, under the place where it is first used."""
    seen: dict[tuple[str, tuple[tuple[str, str], ...]], None] = {}
    for place, part in _all_parts(resolver, question):
        key = (part.base_id or part.id, part.materials)
        if key not in seen:
            seen[key] = None
            yield place, part


def _all_parts(resolver: Resolver, question: LoopQuestion) -> Iterator[tuple[str, Part]]:
    for index, run in enumerate(question.runs):
        field = f"runs.{index}"
        if run.tube is not None:
            part = resolver.part(run.tube, f"{field}.tube")
            yield part.id, part
        for name, fittings in (("fittings_from", run.fittings_from), ("fittings_to", run.fittings_to)):
            for at, fitting in enumerate(fittings):
                part = resolver.part(fitting, f"{field}.{name}.{at}")
                yield part.id, part
    for port, plug in question.plugs.items():
        part = resolver.part(plug, f"plugs.{port}")
        yield part.id, part


def _surfaces(snapshot: Snapshot, place: str, part: Part) -> tuple[Surface, ...]:
    return surfaces_of(snapshot, place, part.families, dict(part.materials))


def _component(snapshot: Snapshot, resolver: Resolver, name: str, component: LoopComponent) -> tuple[Surface, ...]:
    given = {role.value: material for role, material in component.materials.items()}
    resolver.materials(given, f"parts.{name}.materials")
    areas = {role.value: area for role, area in component.areas_cm2.items()}
    families = snapshot.families(f"family/{component.kind}")
    if component.is_ is not None:
        families = resolver.archetype(component.is_, f"parts.{name}.is").families
    return surfaces_of(snapshot, name, families, given, areas)


def _gap(place: str) -> Finding:
    return Finding(MATERIAL_MISSING, Verdict.UNKNOWN, place, (Missing(place, "material", "materials"),))


def _tell_surface(snapshot: Snapshot, surface: Surface) -> SurfaceTold:
    material = surface.material.row.id
    return SurfaceTold(
        place=surface.place,
        role=surface.role.value,
        material=material,
        title=row_name(snapshot, material),
        usual=surface.usual.id if surface.usual is not None else None,
        plated=surface.is_plated,
    )


def _tell_meetings(snapshot: Snapshot, joints: Iterable[Joint]) -> tuple[MeetingTold, ...]:
    ordered: Sequence[Joint] = sorted(joints, key=lambda joint: -joint.verdict.severity)
    return tuple(
        MeetingTold(place=joint.place, verdict=joint.verdict, sentence=joint_sentence(snapshot, joint.findings))
        for joint in ordered
    )
