"""The one shape of every refusal: a problem document (RFC 9457).

Owns: the form of problems. Does not own: their types, or noticing that something is wrong (`api/http/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from schemas.answers.base import AnswerModel


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldProblem(AnswerModel):
    """One thing that is wrong, with its place and its remedy."""

    field: Annotated[
        str,
        Field(
            description="Path of the field in the question, name of the parameter, or empty for the whole.",
            examples=["runs.2.tube"],
        ),
    ]
    what: Annotated[str, Field(description="What is wrong.")]
    fix: Annotated[str, Field(description="What to do.")]
    nearest: Annotated[tuple[str, ...], Field(description="Valid ids or names close to what was given.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem(AnswerModel):
    """A problem document after RFC 9457; `request_id` and `errors` are extensions."""

    type: Annotated[
        str, Field(description="Address of the explanation of this type.", examples=["/problems/unknown-id"])
    ]
    title: Annotated[str, Field(description="The type in a few words.")]
    status: Annotated[int, Field(description="HTTP status code.", ge=400, le=599)]
    detail: Annotated[str, Field(description="What is wrong with this request.")]
    instance: Annotated[str, Field(description="Path of this request, shortened if it is long.")]
    request_id: Annotated[
        str, Field(description="Name of this request, as X-Request-ID gives it; empty if it could not be read.")
    ] = ""
    errors: Annotated[
        tuple[FieldProblem, ...], Field(description="What is wrong, place by place; empty if the detail says all.")
    ]
