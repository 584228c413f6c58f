"""The chemistry of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/chemistry.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.compatibility.joints.joint import Joint
from kb.compatibility.materials.wetted_surfaces import Surface
from kb.loops.chemistry import LoopChemistry
from kb.report.sentences.findings import joint_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.loop import ChemistryTold, MeetingTold, SurfaceTold
from schemas.tables.fluids import Fluid
from schemas.verdict import worst


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
