"""/v1/mix: what comes of mixing a glycol concentrate with water?

Owns: the addresses of the question. Does not own: its answer (`kb/compatibility/materials/glycol_mix.py`).
"""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import FastAPI, Query
from pydantic import WithJsonSchema
from starlette.responses import Response

from api.http.openapi.operations import asking, asking_by_address, form_of, one_of
from api.http.requests.strict_url import number_or_text
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import MixAnswer
from schemas.questions.questions import MixQuestion

_FIELDS = MixQuestion.model_fields
_SHARE = f"Glycol in the concentrate, percent by volume; {_FIELDS['concentrate_glycol_percent'].default} if not given."
_TEMPERATURE = f"Temperature of the properties, degrees Celsius; {_FIELDS['temperature_c'].default:g} if not given."


def add_mix_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the mix question to an application."""

    @app.post(
        "/v1/mix",
        response_model=MixAnswer,
        **asking("ask_mix", "What comes of mixing a glycol concentrate with water?"),
    )
    async def ask_mix(question: MixQuestion) -> Response:
        """Report the shares, the freezing point and the properties of a mixture, and what the share means."""
        return uncached(await asyncio.to_thread(base.mix, **dict(question)))  # the first one loads a library

    @app.get(
        "/v1/mix",
        response_model=MixAnswer,
        **asking_by_address("read_mix", "What comes of mixing these parts of glycol concentrate and water?"),
    )
    async def read_mix(
        glycol: Annotated[str, one_of(MixQuestion, "glycol"), Query(description="Glycol of the concentrate.")],
        concentrate_parts: Annotated[str, _number("concentrate_parts"), Query(description="Parts of concentrate.")],
        water_parts: Annotated[str, _number("water_parts"), Query(description="Parts of water.")],
        concentrate_glycol_percent: Annotated[
            str | None, _number("concentrate_glycol_percent"), Query(description=_SHARE)
        ] = None,
        temperature_c: Annotated[str | None, _number("temperature_c"), Query(description=_TEMPERATURE)] = None,
    ) -> Response:
        """Report the shares, the freezing point and the properties of a mixture."""
        numbers = {
            "concentrate_parts": concentrate_parts,
            "water_parts": water_parts,
            "concentrate_glycol_percent": concentrate_glycol_percent,
            "temperature_c": temperature_c,
        }
        stated = {name: number_or_text(text) for name, text in numbers.items() if text is not None}
        question = question_from(MixQuestion, {"glycol": glycol, **stated})
        return cacheable(await asyncio.to_thread(base.mix, **dict(question)))


def _number(field: str) -> WithJsonSchema:
    return form_of(MixQuestion, field)
