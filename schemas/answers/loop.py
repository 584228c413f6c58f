"""The answer about a whole loop: joints, what is needed, chemistry, flow, heat, filling and space.

Owns: the form of that answer, with its parts on joints and chemistry. Does not own: the parts on performance
(`schemas/answers/flow.py` and its neighbours), or deciding.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.answers import Reasoned
from schemas.answers.base import AnswerModel, Described
from schemas.answers.fill import FillSection
from schemas.answers.flow import FlowSection
from schemas.answers.heat import HeatSection
from schemas.answers.space import SpaceSection
from schemas.questions.choices import Section
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopJoint(AnswerModel):
    """One joint of the loop."""

    place: str
    run: str
    verdict: Verdict
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsListLine(AnswerModel):
    """One line of the list of fittings and tubes."""

    part: str
    title: str
    count: int
    length_mm: float | None = None
    suggested: Annotated[bool, Described("True if the question did not name it and it is our suggestion.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class WettedSurface(AnswerModel):
    """One wetted surface."""

    place: str
    role: str
    material: str
    title: str
    usual: Annotated[str | None, Described("Row it was taken from because nobody named it; none if the asker did.")]
    plated: Annotated[bool, Described("Whether a plating covers it.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstancePair(AnswerModel):
    """Two substances in contact in the loop."""

    place: str
    verdict: Verdict
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChemistrySection(AnswerModel):
    """The chemistry of a loop."""

    fluid: str
    verdict: Verdict
    surfaces: tuple[WettedSurface, ...]
    contacts: tuple[SubstancePair, ...]
    couples: tuple[SubstancePair, ...]
    mixture: tuple[SubstancePair, ...]
    platings: tuple[SubstancePair, ...]
    whole: Annotated[tuple[SubstancePair, ...], Described("The fluid as a whole, told once.")] = ()
    change_after_months: Annotated[float | None, Described("When the fluid is usually changed.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionVerdict(AnswerModel):
    """One section of the loop and what it says."""

    section: Section
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopAnswer(Reasoned):
    """Whether a loop can be assembled and does its work, and what is missing."""

    name: str
    sections: Annotated[tuple[SectionVerdict, ...], Described("What was judged; a section not named here was not.")]
    joints: tuple[LoopJoint, ...]
    parts_list: tuple[PartsListLine, ...]
    chemistry: Annotated[ChemistrySection | None, Described("Reported if the question names a fluid.")] = None
    flow: FlowSection | None = None
    heat: HeatSection | None = None
    fill: FillSection | None = None
    space: SpaceSection | None = None
