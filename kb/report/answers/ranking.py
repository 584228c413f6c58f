"""The answers about which substances are compatible, ranked, and the matrix of two families.

Owns: rankings -> `SuitableAnswer`, `MatrixAnswer`. Does not own: ranking (`kb/compatibility/materials/ranking.py`).
"""

from __future__ import annotations

from collections.abc import Collection
from itertools import product

from kb.compatibility.joints.joint import decided_by
from kb.compatibility.materials.ranking import Matrix, Ranked, Ranking
from kb.report.answers.requirements import unused_conditions
from kb.report.sentences.findings import joint_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.answers import MatrixAnswer, MatrixCell, RankedSubstance, SuitableAnswer


def answer_ranking(snapshot: Snapshot, ranking: Ranking, limit: int, stated: Collection[str]) -> SuitableAnswer:
    """Return the best of a ranking.

    Args:
        snapshot: the knowledge.
        ranking: best first.
        limit: how many to tell.
        stated: ids of the quantities that the asker stated.
    """
    joints = [joint for one in ranking.ranked for joint in one.joints]
    found = (finding for joint in joints for finding in (*joint.findings, *joint.idle))
    return SuitableAnswer(
        kb_version=snapshot.version,
        asked=ranking.asked,
        suitable=tuple(_report(snapshot, one) for one in ranking.ranked[:limit]),
        more=len(ranking.ranked) > limit,
        unused=unused_conditions(found, stated),
    )


def _report(snapshot: Snapshot, one: Ranked) -> RankedSubstance:
    return RankedSubstance(
        id=one.id,
        title=row_name(snapshot, one.id),
        verdict=one.verdict,
        reason=joint_sentence(snapshot, one.findings),
        faults=one.faults,
    )


def answer_matrix(snapshot: Snapshot, matrix: Matrix) -> MatrixAnswer:
    """Return the verdict of every member of one family with every member of another.

    Args:
        snapshot: the knowledge.
        matrix: what was decided.
    """
    cells = tuple(
        MatrixCell(row=row, column=column, verdict=joint.verdict, decided_by=decided_by(joint))
        for (row, column), joint in zip(product(matrix.rows, matrix.columns), matrix.joints, strict=True)
    )
    return MatrixAnswer(kb_version=snapshot.version, rows=matrix.rows, columns=matrix.columns, cells=cells)
