"""Which sections of a loop are judged: those asked for, or those the question gives figures for.

Owns: that choice. Does not own: judging.
"""

from __future__ import annotations

from kb.loops.loop import ResolvedLoop
from schemas.questions.choices import Section
from schemas.questions.loop import Block, PumpInLoop, RadiatorInLoop


def judged_sections(loop: ResolvedLoop) -> tuple[Section, ...]:
    """Return the sections to judge, in the order of `Section`.

    Args:
        loop: the loop. If it asks for sections, these are judged; else joints and chemistry always, flow if it says
            which pump there is, heat if it says in addition what the cooled parts give off, fill if flow can be judged
            and a fluid is named, space if anything is said of places, screws or weights.
    """
    if loop.question.sections is not None:
        return tuple(section for section in Section if section in loop.question.sections)
    flow = _says_flow(loop)
    chosen = {
        Section.JOINTS: True,
        Section.CHEMISTRY: True,
        Section.FLOW: flow,
        Section.HEAT: says_heat(loop),
        Section.FILL: flow and loop.fluid is not None,
        Section.SPACE: any(_says_space(part.asked) for part in loop.parts.values()),
    }
    return tuple(section for section in Section if chosen[section])


def says_heat(loop: ResolvedLoop) -> bool:
    """Return whether a loop gives what its heat is computed from: which pump there is, and the heat of a cooled part.

    Args:
        loop: the loop.
    """
    blocks = (part.asked for part in loop.parts.values() if isinstance(part.asked, Block))
    return _says_flow(loop) and any(block.heat_w is not None for block in blocks)


def _says_flow(loop: ResolvedLoop) -> bool:
    return any(_known_pump(part.asked) for part in loop.parts.values())


def _known_pump(asked: object) -> bool:
    return isinstance(asked, PumpInLoop) and (asked.is_ is not None or bool(asked.curve))


def _says_space(asked: object) -> bool:
    if isinstance(asked, Block):
        return asked.added_weight_g is not None or asked.place is not None
    return isinstance(asked, RadiatorInLoop) and (asked.place is not None or asked.screws is not None)
