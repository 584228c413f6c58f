"""A number with its uncertainty range, as answers report it.

Owns: that shape. Does not own: how the range comes about (`kb/formulas/`, `kb/loops/`).
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class UncertaintyRange(BaseModel):
    """A number as it is likely, with the ends of what is plausible."""

    model_config = ConfigDict(frozen=True)

    low: float = Field(description="Lower end of the range.")
    likely: float
    high: float = Field(description="Upper end of the range.")
