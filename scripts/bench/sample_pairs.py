"""Pairs to measure with, drawn alike from all archetypes there are.

Owns: which pairs. Does not own: asking or timing (`bench.py`, `bench_http.py`).
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from kb.knowledge_base import KnowledgeBase

SEED = 2026
MOST_PAIRS = 400_000


def pairs(base: KnowledgeBase) -> Iterator[tuple[str, str]]:
    """Yield pairs of archetypes, drawn alike from all there are; none comes twice."""
    chance, ids, seen = random.Random(SEED), base.snapshot.ids(), set[tuple[str, str]]()
    while len(seen) < MOST_PAIRS:
        pair = chance.choice(ids), chance.choice(ids)
        if pair not in seen:
            seen.add(pair)
            yield pair
