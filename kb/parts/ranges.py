"""Figures that an asker states, held against what their quantities can be.

Owns: refusing what lies outside the range of its quantity, and writing ranges into generated schemas. Does not own: the
ranges (`kb/tables/quantities.csv`), which field is of which quantity (`schemas/columns/figures.py`), or the values of
tables (`kb/checks/values_in_range.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from kb.store.faults import QuestionError, refuse_all
from kb.store.snapshot import Snapshot
from schemas.tables.quantities import Quantity

if TYPE_CHECKING:
    from schemas.columns.figures import Stated


def check_figures(snapshot: Snapshot, figures: Iterable[Stated]) -> None:
    """Refuse all figures that lie outside the ranges of their quantities.

    Args:
        snapshot: the knowledge.
        figures: what is stated, and where.

    Raises:
        QuestionError: naming field, value and range of the first, with the others.
    """
    refuse_all([error for figure in figures if (error := _error(snapshot, figure)) is not None])


def _error(snapshot: Snapshot, figure: Stated) -> QuestionError | None:
    return range_error(snapshot.get(Quantity, f"quantity/{figure.quantity}"), figure.value, figure.path)


def range_error(quantity: Quantity, value: float, field: str) -> QuestionError | None:
    """Return the error for a figure that lies outside the range of its quantity, or is no finite number; else nothing.

    Args:
        quantity: its quantity.
        value: the figure, in the unit of the quantity.
        field: path of it in the question.
    """
    if quantity.allows(value):
        return None
    what = f"{quantity.complaint(value)}, the range of {quantity.title}"
    return QuestionError(field, what, f"give a number from {quantity.range_in_words}")


def describe_ranges(schema: Any, quantities: Iterable[Quantity]) -> None:
    """Write least and most beside every number of a generated schema that names its quantity, in place.

    Args:
        schema: a JSON Schema, or anything that holds such.
        quantities: all quantities.
    """
    _describe(schema, {quantity.id: quantity for quantity in quantities})


def _describe(schema: Any, quantities: Mapping[str, Quantity]) -> None:
    if isinstance(schema, dict):
        if isinstance(name := schema.get("x-quantity"), str):
            quantity = quantities[f"quantity/{name}"]
            schema.update(minimum=quantity.least, maximum=quantity.most)
        schema = schema.values()
    elif not isinstance(schema, list):
        return
    for one in list(schema):
        _describe(one, quantities)
