"""Columns that rules and limits share: what a warning asks for, where a row is told, and why it has its level.

Owns: what these columns are called and mean. Does not own: the levels themselves (`schemas/level.py`).
"""

from __future__ import annotations

from schemas.columns.columns import Column

REQUIREMENT = Column(
    title="requirement",
    description="Of a warning: what must be met so that it no longer counts.",
    example="requirement/hose-clamp",
    refers_to=("requirements",),
)
SCOPE = Column(
    title="scope",
    description="Told of two things that meet, of the fluid as a whole, or where a circumstance bites.",
    example="couple",
)
LEVEL_REASON = Column(
    title="reason of the level",
    description="Why it has this level, in one sentence.",
    example="A tube that slips off leaks at once; a clamp settles it and can be seen.",
)
