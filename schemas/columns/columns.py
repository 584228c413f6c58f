"""How a table column is declared, and how the text of one cell becomes a value.

Owns: the `Column` declaration, reading it off a row class, and cell text -> typed value.
Does not own: which tables exist (`schemas/tables/`) or reading files (`kb/load.py`).
"""

from __future__ import annotations

import builtins
import dataclasses
import difflib
import inspect
import math
import re
import sys
import types
import typing
from collections.abc import Hashable, Mapping
from datetime import date
from enum import Enum
from functools import cache
from typing import Any

from schemas.columns.damage import Damage, damage_of_size, damage_of_text
from schemas.columns.fixable import FixableError
from schemas.columns.sizes import exact_inches_to_mm

DATE_FORM = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
NUMBER_FORM = re.compile(r"-?(0|[1-9]\d*)(\.\d+)?", re.ASCII)
_FIRST_WORD = re.compile(r"Annotated\[\s*(\w+)")
WHOLE_FORM = re.compile(r"-?(0|[1-9]\d{0,14})", re.ASCII)  # fifteen digits survive every reader of numbers


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table: its words, its unit and what a cell may hold.

    Every field of a row class is annotated with one of these; the pandera schema, the DuckDB column type, the
    published documentation and the texts of errors are all made from it. `quantity` names the quantity (without prefix)
    whose range in quantities.csv holds for the column, too.
    """

    title: str
    description: str
    example: str
    unit: str = ""
    quantity: str = ""
    pattern: str = ""
    at_least: float | None = None
    above: float | None = None
    at_most: float | None = None
    below: float | None = None
    refers_to: tuple[str, ...] = ()
    inch_column: str = ""
    unique: bool = False

    @property
    def bounds(self) -> str:
        """The range in words, such as `above 0 and below 1000 mm`; empty if any number will do."""
        ends = (("at least", self.at_least), ("above", self.above), ("at most", self.at_most), ("below", self.below))
        words = " and ".join(f"{word} {end:g}" for word, end in ends if end is not None)
        return f"{words} {self.unit}".strip() if words else ""


@dataclasses.dataclass(frozen=True, slots=True)
class Field:
    """A column together with its name and the python type of its cells, as read off a row class."""

    name: str
    kind: type
    nullable: bool
    column: Column

    @property
    def choices(self) -> tuple[str, ...]:
        """The closed set of texts this column allows; empty if it is open."""
        return _choices(typing.cast(Hashable, self.kind))


@cache
def _choices(kind: Any) -> tuple[str, ...]:
    if issubclass(kind, Enum):
        return tuple(str(member.value) for member in kind)
    return ("yes", "no") if kind is bool else ()


class CellError(FixableError):
    """A cell whose text cannot be read as its column's type."""


def fields_of(row_class: type[Any]) -> tuple[Field, ...]:
    """Return the columns of a row class in the order of the file: its own first, then the shared blocks of its bases.

    Raises:
        TypeError: if a field is not annotated with a `Column`.
    """
    return _fields_of(typing.cast(Hashable, row_class))


@cache
def _fields_of(row_class: Any) -> tuple[Field, ...]:
    own = (_own_fields(cls) for cls in row_class.__mro__)
    first: dict[str, Field] = {}
    for field in (field for fields in own for field in fields):
        first.setdefault(field.name, field)
    return tuple(first.values())


@cache
def _own_fields(cls: Any) -> tuple[Field, ...]:
    hints = inspect.get_annotations(cls, eval_str=True)
    return tuple(_field(name, hint) for name, hint in hints.items() if not _is_class_variable(hint))


def _is_class_variable(hint: Any) -> bool:
    origin: Any = typing.get_origin(hint)
    return origin is typing.ClassVar


def _field(name: str, hint: Any) -> Field:
    column = next((extra for extra in getattr(hint, "__metadata__", ()) if isinstance(extra, Column)), None)
    if column is None:
        raise TypeError(f"field {name} has no Column")
    bare = hint.__origin__
    nullable = isinstance(bare, types.UnionType) and type(None) in typing.get_args(bare)
    if nullable:
        bare = next(option for option in typing.get_args(bare) if option is not type(None))
    return Field(name=name, kind=typing.get_origin(bare) or bare, nullable=nullable, column=column)


def kinds_of(row_class: type[Any]) -> Mapping[str, type]:
    """Return the python type of each column's cells by its name, in the order of `fields_of`.

    A start needs no more than this. The types are the first words of the annotations, `Annotated[float | None, ...]`;
    evaluating these and making 600 columns takes longer than reading all tables.

    >>> from schemas.tables.tubes import Tube
    >>> kinds_of(Tube)["od_mm"], kinds_of(Tube)["checked_on"]
    (<class 'float'>, <class 'datetime.date'>)
    """
    return _kinds_of(typing.cast(Hashable, row_class))


@cache
def _kinds_of(row_class: Any) -> Mapping[str, type]:
    kinds: dict[str, type] = {}
    for cls in row_class.__mro__:
        known = {**vars(builtins), **vars(sys.modules[cls.__module__])}
        for name, annotation in vars(cls).get("__annotations__", {}).items():
            first = _FIRST_WORD.match(annotation)
            if first is not None:
                kinds.setdefault(name, known[first[1]])
    return types.MappingProxyType(kinds)


def read_cell(field: Field, text: str) -> Any:
    """Return the typed value of one cell, `None` for an empty cell of a nullable column.

    Args:
        field: the column the cell stands in.
        text: the raw text, exactly as in the file.

    Raises:
        CellError: if the text is empty where a value is needed, or cannot be read as the column's type.

    >>> from schemas.tables.tubes import Tube
    >>> od = next(field for field in fields_of(Tube) if field.name == "od_mm")
    >>> read_cell(od, "15.875")
    15.875
    """
    if text == "":
        if field.nullable:
            return None
        if field.kind is tuple:
            return ()
        raise CellError("is empty", f"write a value such as {field.column.example}")
    _refuse(damage_of_text(text))
    return _READERS.get(field.kind, _read_choice)(field, text)


def _refuse(damage: Damage | None) -> None:
    if damage is not None:
        raise CellError(damage.what, damage.fix)


def _read_text(field: Field, text: str) -> str:
    if text != text.strip():
        raise CellError(f"{text!r} has a blank at its start or end", f"write {text.strip()!r}")
    if field.column.pattern and not re.fullmatch(field.column.pattern, text):
        _refuse(damage_of_size(text))
    return text


def _read_number(field: Field, text: str) -> float:
    if not NUMBER_FORM.fullmatch(text):
        _refuse(damage_of_size(text))
        raise CellError(f"{text!r} is not a plain decimal number", _number_fix(text, field))
    value = float(text)
    if not math.isfinite(value):
        raise CellError(f"{text!r} is too large", "write a finite decimal number")
    return value + 0.0  # turns -0 into 0: one number, one value


def _number_fix(text: str, field: Field) -> str:
    if "/" in text and field.column.inch_column:
        return f"a fraction belongs in the column {field.column.inch_column}"
    if field.column.unit and text.endswith(field.column.unit):
        return f"the column already says {field.column.unit}: write the number alone"
    return f"write digits with a decimal point, such as {field.column.example}"


def _read_integer(field: Field, text: str) -> int:
    if not WHOLE_FORM.fullmatch(text):
        _refuse(damage_of_size(text))
        raise CellError(f"{text!r} is not a whole number", f"write a whole number such as {field.column.example}")
    return int(text)


def _read_yes_no(field: Field, text: str) -> bool:
    if text not in field.choices:
        meant = {"true": "yes", "y": "yes", "1": "yes", "false": "no", "n": "no", "0": "no"}.get(text.lower())
        raise CellError(f"{text!r} is neither yes nor no", f"write {meant}" if meant else _choose(field, text))
    return text == "yes"


def _read_date(field: Field, text: str) -> date:
    try:
        if DATE_FORM.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise CellError(f"{text!r} is not a calendar date", f"write year-month-day such as {field.column.example}")


def _read_list(_: Field, text: str) -> tuple[str, ...]:
    items = tuple(text.split(" "))
    if "" in items:
        raise CellError(f"{text!r} has a blank too many", "separate items with one blank")
    if "," in text or ";" in text:
        raise CellError(f"{text!r} is separated by commas or semicolons", "separate items with one blank")
    if len(set(items)) < len(items):
        raise CellError(f"{text!r} names an item twice", "name every item once")
    return items


def _read_choice(field: Field, text: str) -> Any:
    if text not in field.choices:
        raise CellError(f"{text!r} is not one of the allowed words", _choose(field, text))
    return field.kind(text)


def _choose(field: Field, text: str) -> str:
    near = difflib.get_close_matches(text.strip().lower(), field.choices, n=1)
    perhaps = f"write {near[0]}, or another one of: " if near else "write one of: "
    return perhaps + ", ".join(choice for choice in field.choices if choice not in near)


_READERS: Mapping[type, Any] = {
    str: _read_text,
    float: _read_number,
    int: _read_integer,
    bool: _read_yes_no,
    date: _read_date,
    tuple: _read_list,
}


def inch_fields(row_class: type[Any]) -> tuple[Field, ...]:
    """Return the columns of a row class that have a column for the printed inch text beside them."""
    return _inch_fields(typing.cast(Hashable, row_class))


@cache
def _inch_fields(row_class: Any) -> tuple[Field, ...]:
    return tuple(field for field in _fields_of(row_class) if field.column.inch_column)


def fill_from_inches(row_class: type[Any], values: dict[str, Any]) -> None:
    """Fill every empty `_mm` value from the printed inch text beside it, exactly (1 in = 25.4 mm).

    Args:
        row_class: the row class whose columns are filled.
        values: column name -> typed value; changed in place.

    Raises:
        SizeError: if the inch text is no plain fraction or decimal.
    """
    for field in inch_fields(row_class):
        inch_column = field.column.inch_column
        if values[field.name] is None and values.get(inch_column) is not None:
            values[field.name] = exact_inches_to_mm(values[inch_column])
