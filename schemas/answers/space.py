"""What is answered about space, screws and weight: stacks, holes, screws, room for ports, cards.

Owns: the form of that part of the loop answer. Does not own: working it out (`kb/loops/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from schemas.answers.assumed import AssumedValue
from schemas.answers.base import AnswerModel, Described
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class StackFit(AnswerModel):
    """How a radiator with its fans fits its place, in one direction."""

    place: Annotated[str, Described("Radiator it is about.", examples=["radiator"])]
    direction: Annotated[str, Described("depth, length or width.")]
    radiator_mm: Annotated[float, Described("The radiator alone.")]
    fans_mm: Annotated[
        float, Described("Fans on one or both faces, with washers and gaskets between; 0 but for depth.")
    ]
    needed_mm: float
    available_mm: Annotated[float | None, Described("None if the question does not say.")]
    margin_mm: float | None
    verdict: Annotated[Verdict | None, Described("None if no room was stated.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFit(AnswerModel):
    """Whether holes and sizes of fans, radiator and place meet."""

    place: str
    what: Literal["hole spacing", "fan size"]
    between: Annotated[str, Described("Which two.", examples=["fans and radiator"])]
    first_mm: Annotated[float, Described("Of the first, along one edge.")]
    second_mm: float
    difference_mm: float
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewFit(AnswerModel):
    """What screws do in the threaded plate of a radiator."""

    place: str
    thread: Annotated[str, Described("Thread of the radiator's holes.")]
    thread_mm: Annotated[float, Described("Diameter of that thread.")]
    length_mm: float
    clamped_mm: Annotated[float, Described("Fan frame, washers and gaskets between head and plate.")]
    reach_mm: Annotated[float, Described("How far the screw stands inside from the outside of the plate.")]
    engagement_mm: Annotated[float, Described("Reach less what a screw may be short by.")]
    free_mm: Annotated[float | None, Described("Free depth behind the outside of the plate; none if nobody knows.")]
    free_known: Annotated[
        Literal["stated", "estimated", "unknown"],
        Described("Estimated: as if the core of the archetype sat in the middle of its frame; look, it may not."),
    ]
    margin_mm: Annotated[float | None, Described("Free depth less the furthest reach, tolerances at their worst.")]
    safe_length_low_mm: Annotated[float, Described("Shortest screw that holds.")]
    safe_length_high_mm: Annotated[
        float | None, Described("Longest screw that cannot touch a tube; none if the free depth is unknown.")
    ]
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class PortClearanceFit(AnswerModel):
    """Whether fitting and first bend of the tube have room in front of a port."""

    place: Annotated[str, Described("The port.", examples=["radiator.in"])]
    fitting_mm: Annotated[float | None, Described("How far the fitting stands out; none if nobody knows.")]
    bend_mm: Annotated[float | None, Described("Bend radius and half the tube; none if the run does not say.")]
    needed_mm: float | None
    available_mm: float
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedWeight(AnswerModel):
    """What a block adds to its card."""

    place: str
    added_g: float
    coolant_g: Annotated[float | None, Described("Coolant in it, which the stated weight already holds.")]
    supported: Annotated[bool | None, Described("Whether the free end is held; none if nobody said.")]
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceSection(AnswerModel):
    """Whether it fits, is screwed together without harm, and is held."""

    verdict: Verdict
    stacks: tuple[StackFit, ...]
    holes: tuple[HoleFit, ...]
    screws: tuple[ScrewFit, ...]
    port_clearances: tuple[PortClearanceFit, ...]
    weights: tuple[AddedWeight, ...]
    assumed: tuple[AssumedValue, ...]
