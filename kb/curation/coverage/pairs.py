"""What decides the pairs of archetypes: rules, computations, or nothing.

Owns: sorting every pair by what decides it. Does not own: which pairs are asked about
(`kb/curation/diff/kind_pairs.py`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import decide_pair
from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import LimitCheck
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.answers.coverage import PairsCovered
from schemas.verdict import Verdict

_ROOTS = frozenset({"family/material", "family/fluid", "family/additive"})


class Decided(StrEnum):
    """What decides a pair."""

    BY_RULE = "by_rule"
    BY_COMPUTATION = "by_computation"
    UNKNOWN = "unknown"


def decided_by(joint: Joint) -> Decided:
    """Return what decides a joint: the findings of its own verdict count.

    Args:
        joint: a judged joint.
    """
    if joint.verdict is Verdict.UNKNOWN:
        return Decided.UNKNOWN
    deciding = [one for one in joint.findings if one.verdict is joint.verdict and one.code != RULE_NOT_MET]
    computed = any(isinstance(node, LimitCheck) for finding in deciding for node in finding.evidence)
    return Decided.BY_COMPUTATION if computed else Decided.BY_RULE


def decide_all(snapshot: Snapshot) -> Iterator[tuple[str, str, Decided]]:
    """Yield every pair of archetypes with what decides it.

    Args:
        snapshot: the knowledge.
    """
    resolver = Resolver(snapshot)
    for a, b in all_pairs(active_parts(snapshot)):
        decision = decide_pair(snapshot, resolver.archetype(a, "a"), resolver.archetype(b, "b"), {})
        yield a, b, decided_by(decision.joint)


def covered_kinds(snapshot: Snapshot, decided: Iterable[tuple[str, str, Decided]]) -> tuple[PairsCovered, ...]:
    """Return how the pairs of every two kinds of parts are decided.

    Args:
        snapshot: the knowledge.
        decided: all pairs with what decides them.
    """
    return _grouped(decided, active_parts(snapshot))


def covered_families(snapshot: Snapshot, decided: Iterable[tuple[str, str, Decided]]) -> tuple[PairsCovered, ...]:
    """Return how materials in fluids are decided, by the widest families of either.

    Args:
        snapshot: the knowledge.
        decided: all pairs with what decides them.
    """
    kinds = active_parts(snapshot)
    groups = {part: _widest_family(snapshot, part) for part, kind in kinds.items() if kind in ("material", "fluid")}
    kinds_ = ("material", "fluid")
    return _grouped((one for one in decided if (kinds[one[0]], kinds[one[1]]) == kinds_), groups)


def _widest_family(snapshot: Snapshot, part: str) -> str:
    row = snapshot.row(part)
    assert row is not None
    below_root = [family for family in snapshot.families(row.family_id) if family not in _ROOTS]
    return below_root[-1] if below_root else part


def _grouped(decided: Iterable[tuple[str, str, Decided]], groups: Mapping[str, str]) -> tuple[PairsCovered, ...]:
    counts: dict[tuple[str, str], Counter[str]] = {}
    for a, b, ground in decided:
        counts.setdefault((groups[a], groups[b]), Counter())[ground.value] += 1
    return tuple(
        PairsCovered(a=a, b=b, **{ground.value: count[ground.value] for ground in Decided})
        for (a, b), count in counts.items()
    )
