"""Ports that no run needs: which are open, and which are closed by a cap, a drain screw or a shut valve of their own.

Owns: that distinction. Does not own: ports that serve to fill and drain (`kb/loops/fill/ports.py`) or limits.
"""

from __future__ import annotations

from kb.loops.loop import LoopPart, ResolvedLoop
from kb.parts.part import Part
from schemas.questions.loop import BranchingFitting

VALVE_FAMILY = "family/fitting-valve"
_SERVICE = ("fill", "drain")


def is_service_port(part: LoopPart, port: str) -> bool:
    """Return whether a port is made to be closed while the loop runs: a fill or drain port, or behind a shut valve.

    Args:
        part: the part.
        port: name of the port without the part's.
    """
    if isinstance(part.asked, BranchingFitting):
        return part.asked.closed and VALVE_FAMILY in part.families
    return port.startswith(_SERVICE)


def service_ports(loop: ResolvedLoop) -> frozenset[str]:
    """Return the full names of all such ports of a loop.

    Args:
        loop: the loop.
    """
    return frozenset(
        f"{part.name}.{port}" for part in loop.parts.values() for port in part.ports if is_service_port(part, port)
    )


def is_valve(part: Part) -> bool:
    """Return whether a fitting shuts its own free end."""
    return VALVE_FAMILY in part.families
