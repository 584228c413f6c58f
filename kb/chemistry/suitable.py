"""The questions: which fluids suit these materials, which materials suit this fluid, and the matrix of two families.

Owns: asking many pairs and ranking what comes back. Does not own: judging them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kb.chemistry.elements import dosed
from kb.chemistry.exposure import judge_exposure
from kb.chemistry.surfaces import Surface, surfaces_of
from kb.faults import QuestionError
from kb.joint import Joint, decided_by
from kb.pair import decide_pair
from kb.parts import ElementKind, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from kb.wording import joint_sentence, row_name
from schemas.answers import CellTold, MatrixAnswer, SuitableAnswer, SuitableTold
from schemas.questions import MatrixQuestion, SuitableFluidsQuestion, SuitableMaterialsQuestion
from schemas.tables.additives import Additive
from schemas.tables.families import Family
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material
from schemas.tables.wetted_materials import WettedRole
from schemas.verdict import Verdict, worst

MOST_CELLS = 10_000
_CHEMICAL = "family/chemical"


def suitable_fluids(
    snapshot: Snapshot, resolver: Resolver, question: SuitableFluidsQuestion, conditions: Mapping[str, float]
) -> SuitableAnswer:
    """Return coolants ranked by how they suit all the materials together: contacts, couples and additives.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        question: materials, or parts whose materials are given or usual.
        conditions: quantity id -> value the asker stated.

    Raises:
        QuestionError: if a part does not exist or nobody knows what it is made of.
    """
    parts = [resolver.part(one, f"parts.{at}") for at, one in enumerate(question.parts)]
    surfaces = [surface for at, part in enumerate(parts) for surface in _surfaces(snapshot, part, f"parts.{at}")]
    additives = [resolver.additive(one, f"additives.{at}") for at, one in enumerate(question.additives)]
    told = []
    for fluid in snapshot.standing(Fluid):
        if _CHEMICAL in snapshot.families(fluid.family_id):
            continue
        element = dosed(resolver.archetype(fluid.id, "fluid").elements[0], additives)
        joints = judge_exposure(snapshot, surfaces, element, additives, conditions).joints
        told.append(_tell(snapshot, fluid.id, joints))
    return _ranked(snapshot, tuple(part.id for part in parts), told, question.limit)


def suitable_materials(
    snapshot: Snapshot, resolver: Resolver, question: SuitableMaterialsQuestion, conditions: Mapping[str, float]
) -> SuitableAnswer:
    """Return materials ranked by how they suit a fluid.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        question: the fluid, and a family of materials if only those are wanted.
        conditions: quantity id -> value the asker stated.

    Raises:
        QuestionError: if the fluid or family does not exist.
    """
    fluid = resolver.part(question.fluid, "fluid", "fluid")
    family = resolver.family(question.family, "family", "family/material") or "family/material"
    told = []
    for material in snapshot.standing(Material):
        if family in snapshot.families(material.family_id):
            decision = decide_pair(snapshot, resolver.archetype(material.id, "material"), fluid, conditions)
            told.append(_tell(snapshot, material.id, (decision.joint,)))
    return _ranked(snapshot, (fluid.id,), told, question.limit)


def answer_matrix(
    snapshot: Snapshot, resolver: Resolver, question: MatrixQuestion, conditions: Mapping[str, float]
) -> MatrixAnswer:
    """Return the verdict of every member of one family with every member of another.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        question: two families of materials, fluids or additives.
        conditions: quantity id -> value the asker stated.

    Raises:
        QuestionError: if a family does not exist, has no members, or the matrix is too large.
    """
    rows = _members(snapshot, resolver, question.rows, "rows")
    columns = _members(snapshot, resolver, question.columns, "columns")
    if len(rows) * len(columns) > MOST_CELLS:
        raise QuestionError("rows", f"more than {MOST_CELLS} cells", "ask for narrower families")
    cells = [_cell(snapshot, resolver, row, column, conditions) for row in rows for column in columns]
    return MatrixAnswer(kb_version=snapshot.version, rows=rows, columns=columns, cells=tuple(cells))


def _surfaces(snapshot: Snapshot, part: Part, field: str) -> tuple[Surface, ...]:
    element = part.elements[0]
    if element.kind is ElementKind.MATERIAL:
        return (Surface(part.id, WettedRole.BODY, element, None, None, False),)
    surfaces = surfaces_of(snapshot, part.id, part.families, dict(part.materials))
    if not surfaces:
        raise QuestionError(
            field, f"nobody knows what {part.id} is made of", "name its materials, such as metal/copper"
        )
    return surfaces


def _members(snapshot: Snapshot, resolver: Resolver, family: str, field: str) -> tuple[str, ...]:
    tables: tuple[type[Any], ...] = (Material, Fluid, Additive)
    members = tuple(
        row.id for table in tables for row in snapshot.standing(table) if family in snapshot.families(row.family_id)
    )
    if not members:
        resolver.row(Family, family, field)
        raise QuestionError(field, f"{family} holds no materials, fluids or additives", "name a family that does")
    return members


def _cell(snapshot: Snapshot, resolver: Resolver, row: str, column: str, conditions: Mapping[str, float]) -> CellTold:
    pair = resolver.archetype(row, "rows"), resolver.archetype(column, "columns")
    joint = decide_pair(snapshot, *pair, conditions).joint
    return CellTold(row=row, column=column, verdict=joint.verdict, decided_by=decided_by(joint))


def _tell(snapshot: Snapshot, part_id: str, joints: tuple[Joint, ...]) -> SuitableTold:
    findings = [finding for joint in joints for finding in joint.findings]
    return SuitableTold(
        id=part_id,
        title=row_name(snapshot, part_id),
        verdict=worst(joint.verdict for joint in joints),
        reason=joint_sentence(snapshot, findings),
        faults=sum(finding.verdict is not Verdict.COMPATIBLE for finding in findings),
    )


def _ranked(snapshot: Snapshot, asked: tuple[str, ...], told: list[SuitableTold], limit: int) -> SuitableAnswer:
    told.sort(key=lambda one: (one.verdict.severity, one.faults, one.id))
    return SuitableAnswer(
        kb_version=snapshot.version, asked=asked, suitable=tuple(told[:limit]), more=len(told) > limit
    )
