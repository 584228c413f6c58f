"""Of which quantity a number of a question is, so that the row of that quantity gives its range.

Owns: the mark on a field, and reading marked numbers off a question. Does not own: the ranges (`kb/tables/
quantities.csv`) or refusing what lies outside them (`kb/parts/ranges.py`).
"""

from __future__ import annotations

import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel, Field, GetJsonSchemaHandler

PLAIN: Any = Field(allow_inf_nan=False, strict=True)  # a finite number, and nothing that merely looks like one


@dataclass(frozen=True, slots=True)
class Figure:
    """Marks a number with its quantity.

    Attributes:
        quantity: id of the quantity without its prefix.
    """

    quantity: str

    def __get_pydantic_json_schema__(self, core: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Name the quantity in generated schemas; whoever knows the tables writes its range beside it."""
        return {**handler(core), "x-quantity": self.quantity}


class Stated(NamedTuple):
    """A marked number of a question.

    Attributes:
        path: where it stands, such as `parts.cpu.heat_w`.
        quantity: its quantity.
        value: the number.
    """

    path: str
    quantity: str
    value: float


def stated_figures(model: BaseModel, path: str = "", leave_out: tuple[type[BaseModel], ...] = ()) -> Iterator[Stated]:
    """Yield every marked number that a question, or a part of one, states.

    Args:
        model: the question.
        path: where it stands; empty for a whole question.
        leave_out: models inside it that are not looked into.
    """
    for name, asked_as, hint in _marked_fields(type(model)):
        yield from _stated(getattr(model, name), hint, f"{path}.{asked_as}" if path else asked_as, leave_out)


def _stated(value: Any, hint: Any, path: str, leave_out: tuple[type[BaseModel], ...]) -> Iterator[Stated]:
    if isinstance(value, BaseModel):
        if not isinstance(value, leave_out):
            yield from stated_figures(value, path, leave_out)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _stated(one, _arguments(hint)[-1], f"{path}.{key}", leave_out)
    elif isinstance(value, tuple):
        hints = _arguments(hint)
        for at, one in enumerate(value):
            yield from _stated(one, hints[0 if hints[-1] is Ellipsis else at], f"{path}.{at}", leave_out)
    elif isinstance(value, (int, float)) and (figure := _figure(hint)) is not None:
        yield Stated(path, figure.quantity, value)


@cache
def _marked_fields(model: type[BaseModel]) -> tuple[tuple[str, str, Any], ...]:
    """Return name, name as asked and annotation of every field in which a marked number can stand."""
    hints = typing.get_type_hints(model, include_extras=True)
    fields = ((name, field.alias or name, hints[name]) for name, field in model.model_fields.items())
    return tuple(field for field in fields if any(_is_mark(one) for one in _within(field[2])))


def _is_mark(one: Any) -> bool:
    return isinstance(one, Figure) or (isinstance(one, type) and issubclass(one, BaseModel))


def _within(hint: Any) -> Iterator[Any]:
    yield hint
    for one in (*typing.get_args(hint), *getattr(hint, "__metadata__", ())):
        yield from _within(one)


def _arguments(hint: Any) -> tuple[Any, ...]:
    """Return what a container holds, whatever it is annotated with."""
    bare = hint.__origin__ if typing.get_origin(hint) is Annotated else hint
    options = [one for one in typing.get_args(bare) if one is not type(None)]
    is_container = typing.get_origin(bare) in (tuple, dict)
    return typing.get_args(bare) if is_container or len(options) != 1 else _arguments(options[0])


def _figure(hint: Any) -> Figure | None:
    return next((one for one in _within(hint) if isinstance(one, Figure)), None)
