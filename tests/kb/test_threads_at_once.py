"""One base answers many threads at once as it answers one: nothing that is kept for later is torn or mixed up."""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

import kb.compatibility.fitting_index
import kb.store.cache
import kb.store.snapshot
from kb.knowledge_base import KnowledgeBase, load
from kb.store.examples import read_example
from schemas.questions.loop import LoopQuestion

THREADS, PAIRS, SMALL = 6, 100, 20
DEMO = LoopQuestion.model_validate(json.loads(read_example("example/first-loop", "loop")))


@pytest.fixture
def cramped(monkeypatch: pytest.MonkeyPatch) -> Iterator[KnowledgeBase]:
    """A base with nearly no room for what is kept, whose threads interrupt one another as often as they can."""
    for name in ("MOST_REPORTED", "MOST_RULES", "MOST_FITTINGS", "MOST_VERDICTS"):
        monkeypatch.setattr(kb.store.cache, name, SMALL)
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    yield load()
    sys.setswitchinterval(usual)


def answers(base: KnowledgeBase, seed: int) -> list[bytes]:
    """Return answers of all sorts, to questions drawn by a seed."""
    chance, ids = random.Random(seed), base.snapshot.ids()
    parts = base.snapshot.ids(("tubes", "fittings", "ports"))
    reported = [base.pair(chance.choice(ids), chance.choice(ids)).to_json_bytes() for _ in range(PAIRS)]
    reported += [base.partners(chance.choice(parts), limit=5).to_json_bytes()]
    reported += [base.find("10x16").to_json_bytes()]
    reported += [base.loop(DEMO).to_json_bytes()]
    return reported


def test_threads_that_ask_one_base_at_once_get_the_answers_of_one_who_asks_alone(cramped: KnowledgeBase) -> None:
    seeds = range(THREADS)
    alone = load()
    expected = [answers(alone, seed) for seed in seeds]
    with ThreadPoolExecutor(THREADS) as threads:
        together = list(threads.map(lambda seed: answers(cramped, seed), seeds))
    assert [len(reported) for reported in together] == [PAIRS + 3] * THREADS
    assert together == expected
