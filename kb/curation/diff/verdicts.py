"""Which pairs of archetypes are judged otherwise, and because of which changed rows.

Owns: judging the same pairs in two states of the tables, and naming causes. Does not own: which pairs a changed row can
reach (`kb/curation/diff/reach.py`) or judging one pair (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from multiprocessing.connection import Connection

from kb.compatibility.pair import PairDecision, decide_pair
from kb.curation.diff.names import Pair
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Finding, cited_rows
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.answers.changes import VerdictChange
from schemas.verdict import Verdict

WORTH_A_PROCESS = 20_000  # pairs; fewer are judged sooner than a second process has started
_VERDICTS = tuple(Verdict)


class Side:
    """One state of the tables, ready to judge pairs of archetypes."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._resolver = Resolver(snapshot)

    def decide(self, pair: Pair) -> PairDecision:
        """Judge one pair of archetypes that both exist."""
        first, second = (self._resolver.archetype(one, "part") for one in pair)
        return decide_pair(self.snapshot, first, second, {})

    def verdicts(self, pairs: Sequence[Pair]) -> bytes:
        """Return the severities of the verdicts of many pairs, one byte each."""
        return bytes(self.decide(pair).verdict.severity for pair in pairs)


def changed_pairs(before: Side, after: Side, pairs: Sequence[Pair]) -> Iterator[tuple[Pair, Verdict, Verdict]]:
    """Yield the pairs whose verdicts differ, with both verdicts.

    Args:
        before: one state of the tables.
        after: the other one.
        pairs: pairs that exist in both.
    """
    for pair, old, new in zip(pairs, *_verdicts_of_both(before, after, pairs), strict=True):
        if old != new:
            yield pair, _VERDICTS[old], _VERDICTS[new]


def _verdicts_of_both(before: Side, after: Side, pairs: Sequence[Pair]) -> tuple[bytes, bytes]:
    """Judge on both sides; many pairs in two processes, where a process can be split."""
    if len(pairs) < WORTH_A_PROCESS or "fork" not in multiprocessing.get_all_start_methods():
        return before.verdicts(pairs), after.verdicts(pairs)
    receiving, sending = multiprocessing.Pipe(duplex=False)
    child = multiprocessing.get_context("fork").Process(target=_send_verdicts, args=(sending, before, pairs))
    child.start()
    sending.close()
    try:
        new = after.verdicts(pairs)
        old: bytes = receiving.recv_bytes()
    finally:
        child.join()
    return old, new


def _send_verdicts(sending: Connection, side: Side, pairs: Sequence[Pair]) -> None:
    sending.send_bytes(side.verdicts(pairs))


def report_change(
    before: Side,
    after: Side,
    found: tuple[Pair, Verdict, Verdict],
    changed: Collection[str],
    reaching: Callable[[Pair], Iterable[str]],
) -> VerdictChange:
    """Return a changed verdict with its causes, nearest first: what decides, what is cited at all, what reaches it.

    Args:
        before: one state of the tables.
        after: the other one.
        found: the pair and its verdicts.
        changed: ids of all changed rows that can be read.
        reaching: gives those of them that can be read for a pair.
    """
    pair, old, new = found
    decisions = before.decide(pair), after.decide(pair)
    causes = _deciding_rows(decisions).intersection(changed)
    causes = causes or _rows_of_all_ways(decisions).intersection(changed)
    return VerdictChange(a=pair[0], b=pair[1], before=old, after=new, causes=tuple(sorted(causes or reaching(pair))))


def _deciding_rows(decisions: tuple[PairDecision, PairDecision]) -> frozenset[str]:
    findings = tuple(
        finding
        for decision in decisions
        for finding in decision.joint.findings
        if finding.verdict is decision.verdict and finding.code != RULE_NOT_MET
    )
    return cited_rows(findings)


def _rows_of_all_ways(decisions: tuple[PairDecision, PairDecision]) -> frozenset[str]:
    findings: list[Finding] = []
    for decision in decisions:
        for joint in (decision.joint, *decision.others):
            findings += joint.findings
            findings += joint.reverse.findings if joint.reverse is not None else ()
    return cited_rows(tuple(findings))
