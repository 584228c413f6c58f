"""/v1/loop: can a whole loop be assembled?

Owns: the address of the question. Does not own: its answer (`kb/loops/judge.py`).
"""

from __future__ import annotations

from functools import partial

from fastapi import FastAPI
from starlette.responses import Response

from api.http.openapi.operations import LONG, asking
from api.http.responses.answers import uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.loop import LoopAnswer
from schemas.questions.loop import LoopQuestion


def add_loop_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the route of the loop question to an application."""

    @app.post("/v1/loop", response_model=LoopAnswer, **asking("ask_loop", "Can this loop be assembled?", *LONG))
    async def ask_loop(question: LoopQuestion) -> Response:
        """Judge every joint of a loop, say what is missing, and list the fittings and tubes it needs."""
        return uncached(await app.state.long.ask(partial(base.loop_within, question)))
