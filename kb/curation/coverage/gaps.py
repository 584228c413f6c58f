"""What is missing most: the unknown findings that most example loops meet, and unknown pairs of common parts.

Owns: gathering gaps and ranking them. Does not own: judging loops and pairs.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.curation.diff.loops import JudgedLoop, words_of
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding
from schemas.answers.coverage import Gap
from schemas.verdict import Verdict


def most_valuable_gaps(base: KnowledgeBase, judged: Sequence[JudgedLoop], most: int) -> tuple[Gap, ...]:
    """Return the gaps that most example loops meet, then those between parts that most of them use.

    Args:
        base: the knowledge.
        judged: example loops with their answers.
        most: how many gaps to return.
    """
    loops: dict[str, set[str]] = defaultdict(set)
    for one in judged:
        for gap in gaps_in(one.answer.findings if one.answer is not None else ()):
            loops[gap].add(one.loop.name)
    weights = _weights(base, judged)
    found = [
        Gap(what=what, loops=tuple(sorted(loops.get(what, ()))), weight=weights[what]) for what in {*loops, *weights}
    ]
    found.sort(key=lambda gap: (-len(gap.loops), -gap.weight, gap.what))
    return tuple(found[:most])


def gaps_in(findings: Iterable[Finding]) -> Iterator[str]:
    """Yield what unknown findings lack, in the words that are the same wherever it is lacking.

    Args:
        findings: findings of an answer.
    """
    for finding in findings:
        if finding.verdict is Verdict.UNKNOWN:
            yield from (f"{missing.what}: {missing.subject}" for missing in finding.missing)
            yield from (f"a rule that knows more than {rule.id}" for rule in finding.rules if rule.applies)
            yield from (f"a limit that knows more than {limit.id}" for limit in finding.limits if not limit.holds)


def _weights(base: KnowledgeBase, judged: Sequence[JudgedLoop]) -> Counter[str]:
    """Return, for every gap in a pair of parts in use, how often both sides of it are in use."""
    kinds = active_parts(base.snapshot)
    uses: Counter[str] = Counter()
    for one in judged:
        uses.update(kinds.keys() & _parts_of(one))
    weights: Counter[str] = Counter()
    for a, b in all_pairs({part: kinds[part] for part in uses}):
        if base.decide(a, b).verdict is Verdict.UNKNOWN:
            for gap in set(gaps_in(base.pair(a, b).findings)):
                weights[gap] += uses[a] * uses[b]
    return weights


def _parts_of(judged: JudgedLoop) -> set[str]:
    """Return everything a loop names, and what its parts are usually made of."""
    named = set(words_of(judged.loop.question.model_dump(mode="json")))
    chemistry = judged.answer.chemistry if judged.answer is not None else None
    return named | ({surface.material for surface in chemistry.surfaces} if chemistry is not None else set())
