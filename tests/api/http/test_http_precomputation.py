"""What is found in the background before anybody asks: answers stay the same, and no question has to find it."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.types import Receive, Scope, Send

import kb.evidence.rules
from api.http.reload import reloading
from api.http.reload.reloading import Reloader
from kb import KnowledgeBase, load
from kb.compatibility.fitting_index import FittingIndex
from kb.load import TABLES_FOLDER
from schemas.tables.fittings import Fitting
from schemas.tables.ports import Port
from schemas.tables.threads import Thread
from schemas.tables.tubes import Tube

SEED = 20
PAIRS = 300


class Slow:
    """A base whose preparation can be watched."""

    def __init__(self, steps: int, breaks: bool = False, version: str = "invented") -> None:
        self.version = version
        self._steps = steps
        self._breaks = breaks
        self.done = 0

    def precompute(self) -> Iterator[str]:
        for step in range(self._steps):
            if self._breaks:
                raise RuntimeError("invented")
            self.done += 1
            yield str(step)


def some_pairs(base: KnowledgeBase) -> list[tuple[str, str]]:
    active = base.snapshot.active
    ids = [row.id for row in (*active(Thread), *active(Port), *active(Tube), *active(Fitting))]
    of_all_sorts = base.snapshot.ids()
    chance = random.Random(SEED)
    return [(chance.choice(some), chance.choice(some)) for some in (ids, of_all_sorts) for _ in range(PAIRS)]


def test_a_prepared_base_answers_as_before_and_has_nothing_left_to_find(
    base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    pairs = some_pairs(base)
    answers = [base.pair(*pair) for pair in pairs]
    precomputed = load()
    steps = [step for step in precomputed.precompute() if "/" in step and " " not in step]
    assert len(steps) == len(set(steps))
    assert {one for pair in pairs[:PAIRS] for one in pair} <= set(steps)
    monkeypatch.delattr(kb.evidence.rules, "_written")
    with monkeypatch.context() as without_fitting_index:
        without_fitting_index.delattr(FittingIndex, "_find")
        without_fitting_index.delattr(FittingIndex, "_compatible")
        assert [precomputed.pair(*pair) for pair in pairs[:PAIRS]] == answers[:PAIRS]
    assert [precomputed.pair(*pair) for pair in pairs] == answers


def service(base: Slow, following: Slow) -> Reloader:
    async def load_following(_tables: Path, _before: KnowledgeBase) -> Slow:
        return following

    return Reloader(base, lambda _: no_app, TABLES_FOLDER, load_following)  # type: ignore[arg-type]


async def no_app(_scope: Scope, _receive: Receive, _send: Send) -> None:
    """Answer nobody."""


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reloading, "SETTLING_S", 0)


def test_a_newer_base_takes_the_place_of_the_one_being_prepared() -> None:
    older, newer = Slow(10_000), Slow(3, version="newer")

    async def replace() -> None:
        reloader = service(older, newer)
        async with reloader.running():
            await asyncio.sleep(0.03)
            assert (await reloader.reload()).version == "newer"
            await asyncio.sleep(0.2)
            done = older.done
            await asyncio.sleep(0.05)
            assert 0 < done == older.done

    asyncio.run(replace())
    assert newer.done == 3


def test_a_service_that_ends_precomputes_no_further() -> None:
    base = Slow(10_000)

    async def end() -> None:
        async with service(base, base).running():
            await asyncio.sleep(0.03)
        done = base.done
        await asyncio.sleep(0.05)
        assert done > 0
        assert base.done <= done + 1

    asyncio.run(end())


def test_a_preparation_that_breaks_is_reported_and_harms_nothing(caplog: pytest.LogCaptureFixture) -> None:
    async def go_on() -> None:
        broken = Slow(3, breaks=True)
        async with service(broken, broken).running():
            await asyncio.sleep(0.1)

    asyncio.run(go_on())
    assert "precomputation for invented broke" in caplog.text
