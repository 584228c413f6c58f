"""Closed sets of words and bounds of questions that the command line names, too.

Owns: the words, in a module that loads at once: `wetted --help` names them without loading what reads questions.
Does not own: the questions (`schemas/questions/questions.py`, `schemas/questions/loop.py`).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

LONGEST_ID = 80  # characters

PartnerKind = Literal["fitting", "tube", "port", "thread"]


class Section(StrEnum):
    """What of a loop can be judged."""

    JOINTS = "joints"
    CHEMISTRY = "chemistry"
    FLOW = "flow"
    HEAT = "heat"
    FILL = "fill"
    SPACE = "space"
