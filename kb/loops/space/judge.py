"""Space, screws and weight of a loop.

Owns: bringing them together, and the weight on cards. Does not own: stacks, screws and room in front of ports (one file
each beside this one), or reporting (`kb/report/sections/space.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.coolant.coolant import CoolantError
from kb.loops.assumptions import given_or_assumed
from kb.loops.coolant import LoopCoolant, loop_coolant
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.loops.space.port_clearance import PortClearance, port_clearances
from kb.loops.space.radiator_place import radiator_places
from kb.loops.space.screws import JudgedScrews, screws_of
from kb.loops.space.stacks import HoleMatch, Stack, hole_matches, stacks_of
from kb.store.snapshot import Snapshot
from schemas.questions.loop import Block
from schemas.tables.assumptions import Assumption

_ML_PER_M3 = 1e6
_G_PER_KG = 1e3


class Weight(NamedTuple):
    """What a block adds to its card.

    Attributes:
        place: the block.
        added_g: with its coolant [g].
        coolant_g: coolant in it [g]; `None` if contents or coolant are not known.
        supported: whether the card is held; `None` if nobody said.
        finding: what follows.
    """

    place: str
    added_g: float
    coolant_g: float | None
    supported: bool | None
    finding: Finding


class SpaceCheck(NamedTuple):
    """What was found about space, screws and weight.

    Attributes:
        findings: every reason.
        stacks: radiators in their places.
        holes: holes and sizes that must agree.
        screws: what they do.
        ports: room in front of them.
        weights: on cards.
        assumed: rows that stood in for what nobody said.
    """

    findings: tuple[Finding, ...]
    stacks: tuple[Stack, ...]
    holes: tuple[HoleMatch, ...]
    screws: tuple[JudgedScrews, ...]
    ports: tuple[PortClearance, ...]
    weights: tuple[Weight, ...]
    assumed: tuple[Assumption, ...]


def judge_space(snapshot: Snapshot, loop: ResolvedLoop) -> SpaceCheck:
    """Judge whether a loop fits, is screwed together without harm, and is held.

    Args:
        snapshot: the knowledge.
        loop: the loop.

    Raises:
        QuestionError: if fans are named that no table holds.
    """
    gaps: list[Finding] = []
    stacks: list[Stack] = []
    holes: list[HoleMatch] = []
    screws: list[JudgedScrews] = []
    for placed in radiator_places(snapshot, loop):
        found, missing = stacks_of(snapshot, placed)
        held, lacking = screws_of(snapshot, loop, placed)
        stacks += found
        holes += hole_matches(snapshot, placed)
        screws += [held] if held is not None else []
        gaps += [*missing, *lacking]
    ports, weights = port_clearances(snapshot, loop), tuple(_weights(snapshot, loop))
    return SpaceCheck(
        findings=(
            *gaps,
            *(stack.finding for stack in stacks if stack.finding is not None),
            *(hole_match.finding for hole_match in holes),
            *(finding for one in screws for finding in one.findings),
            *(room.finding for room in ports),
            *(weight.finding for weight in weights),
        ),
        stacks=tuple(stacks),
        holes=tuple(holes),
        screws=tuple(screws),
        ports=ports,
        weights=weights,
        assumed=tuple(
            row for rows in (*(one.assumed for one in screws), *(one.assumed for one in ports)) for row in rows
        ),
    )


def _weights(snapshot: Snapshot, loop: ResolvedLoop) -> Iterator[Weight]:
    for part in loop.parts.values():
        asked = part.asked
        if isinstance(asked, Block) and asked.added_weight_g is not None:
            kind = "held" if asked.supported else "free"
            fact = Fact(part.name, "added_weight_g", asked.added_weight_g, "", "")
            added = asked.added_weight_g
            number = Number(f"quantity/added-weight-{kind}", added, (fact,))
            finding = judge_number(snapshot, number, part.families, part.name)
            yield Weight(part.name, added, _coolant_g(snapshot, loop, part), asked.supported, finding)


def _coolant_g(snapshot: Snapshot, loop: ResolvedLoop, part: LoopPart) -> float | None:
    contents = part.asked.volume_ml if part.asked.volume_ml is not None else getattr(part.row, "volume_ml", None)
    coolant = loop_coolant(snapshot, loop)
    if contents is None or not isinstance(coolant, LoopCoolant):
        return None
    warm = given_or_assumed(snapshot, loop, "quantity/coolant-temperature").value
    try:
        density = coolant.at(warm).density_kg_per_m3
    except CoolantError:
        return None
    return contents / _ML_PER_M3 * density * _G_PER_KG
