"""Whether radiators and their fans go into their places, and whether holes meet.

Owns: holding lengths and spacings against each other. Does not own: where they come from
(`kb/loops/space/radiator_place.py`), formulas (`kb/formulas/fit/radiator_stack.py`) or limits.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeAlias

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.fit.counts import size_difference_mm
from kb.formulas.fit.radiator_stack import fans_depth_mm, stack_room_mm
from kb.loops.space.radiator_place import RadiatorPlace
from kb.parts.dimensions import DIMENSION_MISSING
from kb.store.snapshot import Snapshot
from schemas.level import Judgement

HoleMatchOf: TypeAlias = Literal["hole spacing", "fan size"]
_HOLE_MATCHES: tuple[tuple[HoleMatchOf, str], ...] = (
    ("hole spacing", "quantity/fan-hole-difference"),
    ("fan size", "quantity/fan-size-difference"),
)


class Stack(NamedTuple):
    """A radiator in one direction of its place.

    Attributes:
        place: the radiator.
        direction: depth, length or width.
        radiator_mm: the radiator alone.
        fans_mm: fans with their packing; 0 but for depth.
        available_mm: room there is; `None` if nobody said.
        finding: `None` if no room is stated.
    """

    place: str
    direction: str
    radiator_mm: float
    fans_mm: float
    available_mm: float | None
    finding: Finding | None

    @property
    def needed_mm(self) -> float:
        """What both take together [mm]."""
        return self.radiator_mm + self.fans_mm


class HoleMatch(NamedTuple):
    """Spacing of holes, or size of fans, of two things that are screwed together.

    Attributes:
        place: the radiator.
        what: `hole spacing` or `fan size`.
        between: the two things.
        first_mm: that of the first.
        second_mm: that of the second.
        finding: what follows.
    """

    place: str
    what: HoleMatchOf
    between: str
    first_mm: float
    second_mm: float
    finding: Finding


def stacks_of(snapshot: Snapshot, placed: RadiatorPlace) -> tuple[tuple[Stack, ...], tuple[Finding, ...]]:
    """Return a radiator in every direction that is known, and what is missing to judge it.

    Args:
        snapshot: the knowledge.
        placed: the radiator.
    """
    stacks: list[Stack] = []
    gaps: list[Finding] = []
    for direction in ("depth", "length", "width"):
        own = placed.thickness if direction == "depth" else placed.own(f"{direction}_mm")
        available = placed.asked(f"{direction}_mm")
        missing = _missing(placed, direction, own)
        if missing is not None and available is not None:
            gaps.append(Finding(DIMENSION_MISSING, Judgement.GAP, placed.name, (missing,)))
        elif missing is None and own is not None and (available is not None or direction == "depth"):
            stacks.append(_stack(snapshot, placed, direction, own, available))
    return tuple(stacks), tuple(gaps)


def hole_matches(snapshot: Snapshot, placed: RadiatorPlace) -> tuple[HoleMatch, ...]:
    """Return how holes and sizes of fans, radiator and place meet, as far as they are known.

    Args:
        snapshot: the knowledge.
        placed: the radiator.
    """
    own = placed.own("fan_hole_spacing_mm"), placed.own("fan_size_mm")
    fans = placed.fan_holes, placed.fan_size
    place = placed.asked("hole_spacing_mm"), placed.asked("fan_size_mm")
    pairs = [("fans and radiator", fans, own), ("radiator and place", own, place)]
    if placed.row is None:
        pairs.append(("fans and place", fans, place))
    return tuple(one for pair in pairs for one in _match(snapshot, placed, *pair))


def _missing(placed: RadiatorPlace, direction: str, own: Fact | None) -> Missing | None:
    if own is None:
        return Missing(placed.name, "thickness" if direction == "depth" else direction, f"parts.{placed.name}.is")
    if direction == "depth" and placed.faces and placed.fan_thickness is None:
        return Missing(f"fans of {placed.name}", "thickness", f"parts.{placed.name}.fans.thickness_mm")
    return None


def _stack(snapshot: Snapshot, placed: RadiatorPlace, direction: str, own: Fact, available: Fact | None) -> Stack:
    fans, facts = 0.0, [own]
    if direction == "depth" and placed.faces and placed.fan_thickness is not None:
        fans = fans_depth_mm(float(placed.fan_thickness.value), placed.packing_mm, placed.faces)
        facts.append(placed.fan_thickness)
    alone = float(own.value)
    if available is None:
        return Stack(placed.name, direction, alone, fans, None, None)
    left = stack_room_mm(float(available.value), alone, fans)
    number = Number("quantity/stack-clearance", left, (*facts, available))
    place = f"{placed.name}, {direction}"
    finding = judge_number(snapshot, number, placed.families, place)
    return Stack(placed.name, direction, alone, fans, float(available.value), finding)


def _match(
    snapshot: Snapshot,
    placed: RadiatorPlace,
    between: str,
    first: tuple[Fact | None, Fact | None],
    second: tuple[Fact | None, Fact | None],
) -> Iterator[HoleMatch]:
    for (what, quantity), one, other in zip(_HOLE_MATCHES, first, second, strict=True):
        if one is not None and other is not None:
            sizes = float(one.value), float(other.value)
            number = Number(quantity, size_difference_mm(*sizes), (one, other))
            finding = judge_number(snapshot, number, placed.families, f"{placed.name}, {between}")
            yield HoleMatch(placed.name, what, between, *sizes, finding)
