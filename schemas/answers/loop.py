"""The answer about a whole loop: joints, what is needed, chemistry, flow, heat, filling and space.

Owns: the form of that answer, with its parts on joints and chemistry. Does not own: the parts on the duty
(`schemas/answers/flow.py` and its neighbours), or deciding.
"""

from __future__ import annotations

from pydantic import Field

from schemas.answers.answers import Reasoned, Told
from schemas.answers.fill import FillTold
from schemas.answers.flow import FlowTold
from schemas.answers.heat import HeatTold
from schemas.answers.space import SpaceTold
from schemas.questions.choices import Section
from schemas.verdict import Verdict


class LoopJointTold(Told):
    """One joint of the loop."""

    place: str
    run: str
    verdict: Verdict
    sentence: str


class NeededTold(Told):
    """One line of the list of fittings and tubes."""

    part: str
    title: str
    count: int
    length_mm: float | None = None
    suggested: bool = Field(description="True if the question did not name it and it is our suggestion.")


class SurfaceTold(Told):
    """One surface that coolant touches."""

    place: str
    role: str
    material: str
    title: str
    usual: str | None = Field(description="Row it was taken from because nobody named it; none if the asker did.")
    plated: bool = Field(description="Whether a plating covers it.")


class MeetingTold(Told):
    """Two substances that meet in the loop."""

    place: str
    verdict: Verdict
    sentence: str


class ChemistryTold(Told):
    """The chemistry of a loop."""

    fluid: str
    verdict: Verdict
    surfaces: tuple[SurfaceTold, ...]
    contacts: tuple[MeetingTold, ...]
    couples: tuple[MeetingTold, ...]
    mixture: tuple[MeetingTold, ...]
    platings: tuple[MeetingTold, ...]
    change_after_months: float | None = Field(description="When the fluid is usually changed.")


class SectionTold(Told):
    """One section of the loop and what it says."""

    section: Section
    verdict: Verdict


class LoopAnswer(Reasoned):
    """Whether a loop goes together and does its work, and what is missing."""

    name: str
    sections: tuple[SectionTold, ...] = Field(description="What was judged; a section not named here was not.")
    joints: tuple[LoopJointTold, ...]
    needed: tuple[NeededTold, ...]
    chemistry: ChemistryTold | None = Field(default=None, description="Told if the question names a fluid.")
    flow: FlowTold | None = None
    heat: HeatTold | None = None
    fill: FillTold | None = None
    space: SpaceTold | None = None
