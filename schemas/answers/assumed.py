"""A value that was assumed because nobody stated it, as answers report it.

Owns: that shape. Does not own: the values (assumptions.csv) or choosing them.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class AssumedValue(BaseModel):
    """A quantity nobody stated, and the value that was taken instead."""

    model_config = ConfigDict(frozen=True)

    quantity: str = Field(description="Row of the quantities table.", examples=["quantity/pump-speed"])
    title: str
    value: float
    unit: str
    row: str = Field(description="Row of the table that says so.", examples=["assumption/pump-speed"])
    source: str
    note: str | None = None
