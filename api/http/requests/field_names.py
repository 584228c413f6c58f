"""Which field names a question allows at a place: for naming the nearest one when a name is unknown.

Owns: walking question models along a path. Does not own: validating (`schemas/questions/questions.py`).
"""

from __future__ import annotations

import types
import typing
from collections.abc import Sequence
from functools import cache
from typing import Any

from pydantic import BaseModel

from schemas.questions.questions import INLINE_KINDS, AnyInlinePart, InlinePart

NEAREST = 3
_INLINE_CLASSES = frozenset(typing.get_args(AnyInlinePart))


def allowed_names(model: Any, path: Sequence[str | int], value: Any) -> tuple[str, ...]:
    """Return the field names that are allowed in the object at a path.

    Args:
        model: a pydantic model, or a type made of them.
        path: names and indexes from the whole question to the object.
        value: the question as it was asked; tells which kind an inline part is.

    >>> from schemas.questions.questions import PairQuestion
    >>> allowed_names(PairQuestion, (), {})
    ('a', 'b', 'conditions', 'met')
    >>> "od" in allowed_names(PairQuestion, ("a",), {"a": {"kind": "tube"}})
    True
    """
    found = _model_in(model, value)
    if found is None:
        return _allowed_in_items(model, path, value)
    if not path:
        return _names_of(found)
    step, inside = path[0], value.get(path[0]) if isinstance(value, dict) else None
    for name, field in found.model_fields.items():
        if step in (name, field.alias):
            return allowed_names(field.annotation, path[1:], inside)
    return ()


def nearest_names(name: str, names: Sequence[str]) -> tuple[str, ...]:
    """Return up to three of the names, those closest to a misspelt one first.

    >>> nearest_names("lenght_mm", ("tube", "length_mm"))
    ('length_mm', 'tube')
    """
    from rapidfuzz import process  # noqa: PLC0415 - only needed on the way to an error

    return tuple(match[0] for match in process.extract(name, names, limit=NEAREST))


@cache
def _names_of(model: type[BaseModel]) -> tuple[str, ...]:
    bare = model.lengths if issubclass(model, InlinePart) else ()
    return tuple(field.alias or name for name, field in model.model_fields.items()) + bare


def _model_in(annotation: Any, value: Any) -> type[BaseModel] | None:
    """Return the one model an annotation means, judged by the value where several are possible."""
    options = [option for option in _options(annotation) if isinstance(option, type) and issubclass(option, BaseModel)]
    if not _INLINE_CLASSES.isdisjoint(options):
        return _inline_class(value)
    if len(options) > 1:
        return _class_of_kind(options, value)
    return options[0] if options else None


def _class_of_kind(options: list[type[BaseModel]], value: Any) -> type[BaseModel] | None:
    """Return the one of several models whose `kind` is that of the value."""
    kind = value.get("kind") if isinstance(value, dict) else None
    return next((one for one in options if kind in typing.get_args(one.model_fields["kind"].annotation)), None)


def _inline_class(value: Any) -> type[BaseModel] | None:
    if not isinstance(value, dict):
        return None
    kind = value.get("kind") or str(value.get("is", "")).split("/", 1)[0]
    return INLINE_KINDS.get(kind) if isinstance(kind, str) else None


def _allowed_in_items(annotation: Any, path: Sequence[str | int], value: Any) -> tuple[str, ...]:
    for option in _options(annotation):
        items = [item for item in typing.get_args(option) if item is not Ellipsis]
        if items and path:
            return allowed_names(items[-1], path[1:], _item(value, path[0]))
    return ()


def _item(value: Any, step: str | int) -> Any:
    if isinstance(value, dict):
        return value.get(step)
    return value[step] if isinstance(value, list) and isinstance(step, int) and step < len(value) else None


def _options(annotation: Any) -> list[Any]:
    """Return the alternatives of a type: `Annotated` and unions opened, `None` left out."""
    if hasattr(annotation, "__metadata__"):
        return _options(annotation.__origin__)
    if isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is typing.Union:
        return [one for option in typing.get_args(annotation) for one in _options(option)]
    return [] if annotation is type(None) else [annotation]
