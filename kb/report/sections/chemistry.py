"""The chemistry of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/chemistry.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.compatibility.joints.joint import Joint
from kb.compatibility.materials.wetted_surfaces import Surface
from kb.evidence.tree import verdict_of
from kb.loops.chemistry import LoopChemistry
from kb.report.sentences.findings import joint_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.loop import ChemistrySection, SubstancePair, WettedSurface
from schemas.tables.fluids import Fluid


def report_chemistry(snapshot: Snapshot, chemistry: LoopChemistry) -> ChemistrySection:
    """Return the chemistry of a loop in the shape of answers."""
    row = chemistry.fluid.elements[0].row
    exposure = chemistry.exposure
    return ChemistrySection(
        fluid=chemistry.fluid.base_id or chemistry.fluid.id,
        verdict=verdict_of(chemistry.findings),
        surfaces=tuple(_report_surface(snapshot, surface) for surface in chemistry.surfaces),
        contacts=_report_pairs(snapshot, exposure.contacts),
        couples=_report_pairs(snapshot, exposure.couples),
        mixture=_report_pairs(snapshot, exposure.mixture),
        platings=_report_pairs(snapshot, exposure.platings),
        whole=_report_pairs(snapshot, exposure.fluid),
        change_after_months=row.service_interval_months if isinstance(row, Fluid) else None,
    )


def _report_surface(snapshot: Snapshot, surface: Surface) -> WettedSurface:
    material = surface.material.row.id
    return WettedSurface(
        place=surface.place,
        role=surface.role.value,
        material=material,
        title=row_name(snapshot, material),
        usual=surface.usual.id if surface.usual is not None else None,
        plated=surface.is_plated,
    )


def _report_pairs(snapshot: Snapshot, joints: Iterable[Joint]) -> tuple[SubstancePair, ...]:
    ordered: Sequence[Joint] = sorted(joints, key=lambda joint: -joint.verdict.severity)
    return tuple(
        SubstancePair(place=joint.place, verdict=joint.verdict, sentence=joint_sentence(snapshot, joint.findings))
        for joint in ordered
    )
