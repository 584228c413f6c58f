"""A number with the band around it, as answers tell it.

Owns: that shape. Does not own: how a band comes about (`kb/formulas/`, `kb/loops/`).
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class BandTold(BaseModel):
    """A number as it is likely, with the ends of what is plausible."""

    model_config = ConfigDict(frozen=True)

    low: float = Field(description="Lower end of the band.")
    likely: float
    high: float = Field(description="Upper end of the band.")
