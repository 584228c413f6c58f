"""A computed number against the limits table: a finding.

Owns: which limit decides. Does not own: the limits (rows of limits.csv) or the numbers (`kb/formulas/fit/`).
"""

from __future__ import annotations

from kb.evidence.tree import Finding, LimitCheck, Missing, Node, Number, RequirementCheck
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables.limits import Limit

FLOAT_NOISE = 1e-9  # a limit met exactly in decimals holds, whatever binary fractions make of it


def judge_number(snapshot: Snapshot, number: Number, families: tuple[str, ...], place: str, *also: Node) -> Finding:
    """Hold a number against the limits of its quantity and return what follows.

    A limit row that is broken decides, the most severe first; if none is broken the tightest row on either side is
    cited. A quantity without any limit is `unknown`: a number alone says nothing.

    Args:
        snapshot: the knowledge.
        number: the computed quantity.
        families: ids whose limits apply, nearest first.
        place: the joint or part it is about.
        also: further evidence to keep beside the number.
    """
    limit_set = snapshot.limit_set(number.quantity_id, families)
    value = number.value
    code = number.quantity_id.removeprefix("quantity/")
    if not limit_set.tightest:
        missing = Missing(number.quantity_id, "a limit for this quantity", "")
        return Finding(code, Judgement.GAP, place, (number, missing, *also))
    if limit_set.least - FLOAT_NOISE <= value <= limit_set.most + FLOAT_NOISE:
        checks = [LimitCheck(limit, value, True) for limit in limit_set.tightest]
        return Finding(code, Judgement.PASS, place, (number, *checks, *also))
    broken = [limit for limit in limit_set.at_least if value < limit.value - FLOAT_NOISE]
    broken += [limit for limit in limit_set.at_most if value > limit.value + FLOAT_NOISE]
    limit = max(broken, key=_severity)
    return Finding(
        code,
        Judgement(limit.level.value),
        place,
        (number, LimitCheck(limit, value, False), *also),
        requirement=RequirementCheck(limit.requirement_id) if limit.requirement_id else None,
    )


def _severity(limit: Limit) -> int:
    return Judgement(limit.level.value).severity
