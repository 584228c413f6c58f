"""The one shape of every refusal: a problem document (RFC 9457).

Owns: the form of problems. Does not own: their types, or noticing that something is wrong (`api/http/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.base import AnswerModel, Described


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldProblem(AnswerModel):
    """One thing that is wrong, with its place and its remedy."""

    field: Annotated[
        str,
        Described(
            "Path of the field in the question, name of the parameter, or empty for the whole.",
            examples=["runs.2.tube"],
        ),
    ]
    what: Annotated[str, Described("What is wrong.")]
    fix: Annotated[str, Described("What to do.")]
    nearest: Annotated[tuple[str, ...], Described("Valid ids or names close to what was given.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem(AnswerModel):
    """A problem document after RFC 9457; `request_id` and `errors` are extensions."""

    type: Annotated[str, Described("Address of the explanation of this type.", examples=["/problems/unknown-id"])]
    title: Annotated[str, Described("The type in a few words.")]
    status: Annotated[int, Described("HTTP status code.", minimum=400, maximum=599)]
    detail: Annotated[str, Described("What is wrong with this request.")]
    instance: Annotated[str, Described("Path of this request, shortened if it is long.")]
    request_id: Annotated[
        str, Described("Name of this request, as X-Request-ID gives it; empty if it could not be read.")
    ] = ""
    errors: Annotated[
        tuple[FieldProblem, ...], Described("What is wrong, place by place; empty if the detail says all.")
    ]
