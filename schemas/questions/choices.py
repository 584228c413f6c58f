"""Closed sets of words that questions take and the command line names.

Owns: the words, in a module that loads at once: `wetted --help` names them without loading what reads questions.
Does not own: the questions (`schemas/questions/questions.py`, `schemas/questions/loop.py`).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

PartnerKind = Literal["fitting", "tube", "port", "thread"]


class Section(StrEnum):
    """What of a loop can be judged."""

    JOINTS = "joints"
    CHEMISTRY = "chemistry"
    FLOW = "flow"
    HEAT = "heat"
    FILL = "fill"
    SPACE = "space"
