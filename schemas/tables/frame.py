"""The pandera schema of a table, made from its row class.

Owns: row class -> pandera schema. Does not own: columns (one file per table) or where a failing cell stands in a file
(`kb/store/typed_rows.py`). pandera takes half a second to import, so it is imported only when tables are validated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from schemas.columns.columns import Field, fields_of

if TYPE_CHECKING:
    import pandera.pandas as pa

_DTYPES = {float: "float64", int: "int64", bool: "bool"}


def pandera_schema(row_class: type[Any]) -> pa.DataFrameSchema:
    """Return the schema that a frame of typed cells must meet: columns, order, types, ranges, patterns, uniqueness.

    Args:
        row_class: a row class of `schemas.tables`.

    >>> from schemas.tables.tubes import Tube
    >>> list(pandera_schema(Tube).columns)[:2]
    ['id', 'family_id']
    """
    import pandera.pandas as pa  # noqa: PLC0415 - slow to import

    columns = {field.name: _column(pa, field) for field in fields_of(row_class)}
    return pa.DataFrameSchema(columns, name=row_class.table, strict=True, ordered=True)


def _column(pa: Any, field: Field) -> Any:
    return pa.Column(
        _DTYPES.get(field.kind, "object"),
        checks=_checks(pa, field),
        nullable=field.nullable,
        unique=field.column.unique,
        title=field.column.title,
        description=field.column.description,
        metadata={"unit": field.column.unit, "example": field.column.example, "refers_to": field.column.refers_to},
    )


def _checks(pa: Any, field: Field) -> list[Any]:
    column, check = field.column, pa.Check
    found = []
    if column.pattern:
        found.append(check.str_matches(rf"^(?:{column.pattern})$", error=f"does not look like {column.example}"))
    if column.at_least is not None:
        found.append(check.ge(column.at_least, error=f"is below {column.at_least:g} {column.unit}".strip()))
    if column.above is not None:
        found.append(check.gt(column.above, error=f"is not above {column.above:g} {column.unit}".strip()))
    if column.at_most is not None:
        found.append(check.le(column.at_most, error=f"is above {column.at_most:g} {column.unit}".strip()))
    if column.below is not None:
        found.append(check.lt(column.below, error=f"is not below {column.below:g} {column.unit}".strip()))
    return found
