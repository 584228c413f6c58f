"""Questions that take long: others are answered meanwhile, and no half answer passes for a whole one."""

from __future__ import annotations

import asyncio
import json
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from asgi_asking import Asker, Raw, Reply, got, require_problem

from api.http.app import create_app
from api.http.problems.problem_kinds import BUSY, TOOK_TOO_LONG
from api.http.settings import Settings
from kb import KnowledgeBase
from kb.loops.deadline import Budget, BudgetSpentError
from schemas.answers.loop import LoopAnswer
from schemas.questions.loop import LoopQuestion
from schemas.questions.plain import LoopLike

DEMO = json.loads((Path(__file__).resolve().parents[3] / "kb" / "examples" / "large-loop.json").read_text())
STAGES = ("heat", "flow of the heat", "flow", "fill", "space", "joints", "chemistry", "reporting")


class CountedBudget(Budget):
    """Time that is spent after so many looks at it."""

    __slots__ = ("looks", "stages")

    def __init__(self, looks: int) -> None:
        super().__init__()
        self.looks, self.stages = looks, list[str]()

    def check(self, stage: str) -> None:
        self.stages.append(stage)
        self.looks -= 1
        if self.looks < 0:
            raise BudgetSpentError(stage, 1.0)


class SlowBase(KnowledgeBase):
    """Thinks about every loop until it is told to go on."""

    def __init__(self, base: KnowledgeBase) -> None:
        super().__init__(base.snapshot)
        self.go_on, self.under_way, self.most = threading.Event(), 0, 0

    def loop_within(self, question: LoopLike, budget: Budget) -> LoopAnswer:
        self.under_way += 1
        self.most = max(self.most, self.under_way)
        self.go_on.wait(10)
        self.under_way -= 1
        return super().loop_within(question, budget)


def posted(path: str, body: Any, media_type: bytes = b"application/json") -> Raw:
    sent = json.dumps(body).encode()
    length = (b"content-length", str(len(sent)).encode())
    return Raw("POST", path.encode(), chunks=(sent,), headers=((b"content-type", media_type), length))


def test_time_is_looked_at_between_all_stages(base: KnowledgeBase) -> None:
    budget = CountedBudget(looks=10**6)
    base.loop_within(DEMO, budget)
    assert list(dict.fromkeys(budget.stages)) == list(STAGES)
    assert len(budget.stages) > 50, "each option is one look, at least"


@pytest.mark.parametrize("looks", [0, 1, 5, 12, 20, 40])
def test_a_spent_budget_gives_no_answer_wherever_it_ends(base: KnowledgeBase, looks: int) -> None:
    with pytest.raises(BudgetSpentError) as spent:
        base.loop_within(DEMO, CountedBudget(looks))
    assert spent.value.stage in STAGES


def test_a_loop_with_time_enough_is_answered_as_without_a_limit(base: KnowledgeBase) -> None:
    question = LoopQuestion.model_validate(DEMO)
    assert base.loop_within(question, Budget(60.0)) == base.loop(question)


def test_an_answer_that_takes_too_long_is_a_problem_of_its_own_type(base: KnowledgeBase) -> None:
    ask = Asker(create_app(base, Settings(longest_answer_s=0.001, log_requests=False)))
    reply = ask(posted("/v1/loop", DEMO))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (reply.status, problem.type, problem.title) == (504, TOOK_TOO_LONG.path, TOOK_TOO_LONG.title)
    assert "0.001 s were not enough" in problem.detail
    assert ask(got("/v1/pair?a=thread/g-1-4&b=thread/g-1-4")).status == 200


def test_in_a_batch_only_the_long_question_gets_the_problem(base: KnowledgeBase) -> None:
    ask = Asker(create_app(base, Settings(longest_answer_s=0.004, log_requests=False)))
    quick = {"parts": {"one": {"kind": "block", "ports": {"in": "port/g-1-4-loop"}}}, "runs": [], "sections": ["space"]}
    ask(posted("/v1/batch/loop", [quick]))
    lines = [json.loads(line) for line in ask(posted("/v1/batch/loop", [DEMO, quick])).body.splitlines()]
    assert lines[0]["problem"]["type"] == TOOK_TOO_LONG.path
    assert lines[1]["answer"]["sections"]


def test_short_questions_are_answered_while_long_ones_wait_for_places(base: KnowledgeBase) -> None:
    slow = SlowBase(base)
    app = create_app(slow, Settings(most_long_questions=2, log_requests=False))

    async def ask_all() -> tuple[list[Reply], float]:
        long = [asyncio.create_task(Asker(app).send(posted("/v1/loop", DEMO))) for _ in range(4)]
        while slow.under_way < 2:
            await asyncio.sleep(0.01)
        start = time.perf_counter()
        short = await Asker(app).send(got("/v1/find?words=1/4"))
        took = time.perf_counter() - start
        assert short.status == 200
        slow.go_on.set()
        return await asyncio.gather(*long), took

    replies, took = asyncio.run(ask_all())
    assert [reply.status for reply in replies] == [200] * 4
    assert slow.most == 2
    assert took < 5


def test_who_finds_no_place_in_time_hears_that_the_service_is_busy(base: KnowledgeBase) -> None:
    slow = SlowBase(base)
    app = create_app(slow, Settings(most_long_questions=1, longest_answer_s=0.2, log_requests=False))

    async def ask_two() -> Reply:
        first = asyncio.create_task(Asker(app).send(posted("/v1/loop", DEMO)))
        while not slow.under_way:
            await asyncio.sleep(0.01)
        second = await Asker(app).send(posted("/v1/loop", DEMO))
        slow.go_on.set()
        await first
        return second

    reply = asyncio.run(ask_two())
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (reply.status, problem.type, reply.headers["retry-after"]) == (503, BUSY.path, "2")
