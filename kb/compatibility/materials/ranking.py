"""The questions: which fluids are compatible with these materials, which materials are compatible with this fluid, and
the matrix of two families.

Owns: asking many pairs and ranking what comes back. Does not own: judging them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from kb.compatibility.joints.joint import Joint
from kb.compatibility.materials.exposure import judge_exposure
from kb.compatibility.materials.wetted_surfaces import Surface, surfaces_of
from kb.compatibility.pair import decide_pair
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Finding, RuleHit, verdict_of
from kb.parts.part import ElementKind, Part
from kb.parts.resolver import Resolver
from kb.parts.substances import dosed
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.columns.provenance import Confidence
from schemas.level import Judgement
from schemas.questions.questions import MatrixQuestion, SuitableFluidsQuestion, SuitableMaterialsQuestion
from schemas.tables.additives import Additive
from schemas.tables.families import Family
from schemas.tables.fluids import Fluid, FluidBase, FluidUse
from schemas.tables.materials import Material
from schemas.tables.requirements import Requirement
from schemas.tables.wetted_materials import WettedRole
from schemas.verdict import Verdict

MOST_CELLS = 10_000
_CHEMICAL = "family/chemical"


class Ranked(NamedTuple):
    """A substance and what was decided of it.

    Attributes:
        id: the substance.
        joints: every meeting that was judged.
    """

    id: str
    joints: tuple[Joint, ...]

    @property
    def findings(self) -> list[Finding]:
        """Everything that was found."""
        return [finding for joint in self.joints for finding in joint.findings]

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all meetings."""
        return verdict_of(one for one in self.findings if one.code != RULE_NOT_MET)

    @property
    def faults(self) -> int:
        """How many findings are not well."""
        return sum(finding.verdict is not Verdict.COMPATIBLE for finding in self.findings)

    @property
    def errors(self) -> int:
        """How many findings are errors."""
        return sum(finding.judgement is Judgement.ERROR for finding in self.findings)

    @property
    def gaps(self) -> int:
        """How many findings are gaps that decide."""
        return sum(finding.judgement is Judgement.GAP and finding.decides for finding in self.findings)

    @property
    def notes(self) -> int:
        """How many findings are notes."""
        return sum(finding.judgement is Judgement.NOTE for finding in self.findings)

    def open_of(self, snapshot: Snapshot, priority: int) -> int:
        """Return how many requirements of a priority are open; one counts once, however many findings name it.

        Args:
            snapshot: the knowledge.
            priority: 1 to 3.
        """
        left = {one.requirement.id for one in self.findings if one.is_open and one.requirement is not None}
        return sum(snapshot.get(Requirement, one).priority == priority for one in left)


class Ranking(NamedTuple):
    """Substances ranked against what was asked.

    Attributes:
        asked: ids of what they were held against.
        ranked: best first.
    """

    asked: tuple[str, ...]
    ranked: tuple[Ranked, ...]


class Matrix(NamedTuple):
    """Two families and the joint of every pair of their members, row by row."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    joints: tuple[Joint, ...]


def rank_fluids(
    snapshot: Snapshot, resolver: Resolver, question: SuitableFluidsQuestion, conditions: Mapping[str, float]
) -> Ranking:
    """Return coolants ranked by compatibility with all the materials: contacts, couples and additives.

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
    found = []
    for fluid in snapshot.active(Fluid):
        if _CHEMICAL in snapshot.families(fluid.family_id):
            continue
        element = dosed(resolver.archetype(fluid.id, "fluid").elements[0], additives)
        joints = judge_exposure(snapshot, surfaces, element, additives, conditions).joints
        found.append(Ranked(fluid.id, tuple(joints)))
    return Ranking(tuple(part.id for part in parts), _ranked(snapshot, found))


def rank_materials(
    snapshot: Snapshot, resolver: Resolver, question: SuitableMaterialsQuestion, conditions: Mapping[str, float]
) -> Ranking:
    """Return materials ranked by compatibility with a fluid.

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
    found = []
    for material in snapshot.active(Material):
        if family in snapshot.families(material.family_id):
            decision = decide_pair(snapshot, resolver.archetype(material.id, "material"), fluid, conditions)
            found.append(Ranked(material.id, (decision.joint,)))
    return Ranking((fluid.id,), _ranked(snapshot, found))


def judge_matrix(
    snapshot: Snapshot, resolver: Resolver, question: MatrixQuestion, conditions: Mapping[str, float]
) -> Matrix:
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
    firsts = [resolver.archetype(row, "rows") for row in rows]
    seconds = [resolver.archetype(column, "columns") for column in columns]
    joints = (decide_pair(snapshot, one, other, conditions).joint for one in firsts for other in seconds)
    return Matrix(rows, columns, tuple(joints))


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
        row.id for table in tables for row in snapshot.active(table) if family in snapshot.families(row.family_id)
    )
    if not members:
        resolver.row(Family, family, field)
        raise QuestionError(field, f"{family} holds no materials, fluids or additives", "name a family that does")
    return members


def _ranked(snapshot: Snapshot, found: Iterable[Ranked]) -> tuple[Ranked, ...]:
    """Put what suits best first: no error, meant as a coolant, little to do, strong evidence; never few findings."""
    return tuple(sorted(found, key=lambda one: _rank(snapshot, one)))


def _rank(snapshot: Snapshot, one: Ranked) -> tuple[int | bool | str, ...]:
    return (
        one.errors > 0,
        not _is_coolant(snapshot, one.id),
        one.errors,
        one.open_of(snapshot, 1),
        one.open_of(snapshot, 2) + one.gaps,
        one.open_of(snapshot, 3),
        _hazards(snapshot, one.id),
        _weakness(one),
        one.notes,
        one.id,
    )


def _is_coolant(snapshot: Snapshot, substance_id: str) -> bool:
    """Return whether a fluid is meant to run in a loop; materials all are."""
    row = snapshot.row(substance_id)
    return not isinstance(row, Fluid) or row.use in (FluidUse.COOLANT, FluidUse.ENGINE_COOLANT)


def _hazards(snapshot: Snapshot, substance_id: str) -> int:
    """Return 1 for a fluid that is a poison by its base, so that propylene glycol comes before ethylene glycol."""
    row = snapshot.row(substance_id)
    return int(isinstance(row, Fluid) and row.base is FluidBase.ETHYLENE_GLYCOL)


def _weakness(one: Ranked) -> int:
    """Return how weak the weakest row is that rules a contact; 0 is high confidence."""
    order = list(Confidence)
    return max(
        (
            order.index(node.rule.confidence)
            for finding in one.findings
            if finding.code != RULE_NOT_MET
            for node in finding.evidence
            if isinstance(node, RuleHit)
        ),
        default=0,
    )
