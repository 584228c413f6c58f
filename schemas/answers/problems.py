"""The one shape of every refusal: a problem document (RFC 9457).

Owns: the form of problems. Does not own: their types, or noticing that something is wrong (`api/http/`).
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class FieldProblem(BaseModel):
    """One thing that is wrong, with its place and its remedy."""

    model_config = ConfigDict(frozen=True)

    field: str = Field(
        description="Path of the field in the question, name of the parameter, or empty for the whole.",
        examples=["runs.2.tube"],
    )
    what: str = Field(description="What is wrong.")
    fix: str = Field(description="What to do.")
    nearest: tuple[str, ...] = Field(default=(), description="Valid ids or names close to what was given.")


class Problem(BaseModel):
    """A problem document after RFC 9457; `request_id` and `errors` are extensions."""

    model_config = ConfigDict(frozen=True)

    type: str = Field(description="Address of the explanation of this type.", examples=["/problems/unknown-id"])
    title: str = Field(description="The type in a few words.")
    status: int = Field(description="HTTP status code.", ge=400, le=599)
    detail: str = Field(description="What is wrong with this request.")
    instance: str = Field(description="Path of this request, shortened if it is long.")
    request_id: str = Field(
        default="", description="Name of this request, as X-Request-ID gives it; empty if it could not be read."
    )
    errors: tuple[FieldProblem, ...] = Field(description="What is wrong, place by place; empty if the detail says all.")
