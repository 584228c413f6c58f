"""Where a loop can be filled and drained.

Owns: finding ports that no run needs, and what stands lowest. Does not own: limits of their number, or words.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import NamedTuple

from kb.loops.loop import LoopPart, ResolvedLoop

_FILL_PORT_FAMILY = "family/reservoir-fill-port"
_VALVE_FAMILY = "family/fitting-valve"


class Why(Enum):
    """Why a place serves."""

    NAMED = "named"
    FREE = "free"
    FILL_PORT = "fill-port"
    VALVE = "valve"
    LOWEST = "lowest"


class Place(NamedTuple):
    """A port or part where coolant is poured in or let out.

    Attributes:
        name: `reservoir.fill`, or the part.
        why: why it serves.
        height_mm: how far the part's ports lie above the surface in the reservoir; `None` if nobody said.
    """

    name: str
    why: Why
    height_mm: float | None


def fill_ports(loop: ResolvedLoop) -> tuple[Place, ...]:
    """Return where a loop can be filled, the highest first: ports of reservoirs that are named so or that no run needs.

    Args:
        loop: the loop.
    """
    reservoirs = (part for part in loop.parts.values() if part.asked.kind == "reservoir")
    found = [place for part in reservoirs for place in _fill_places(loop, part)]
    return tuple(sorted(found, key=lambda one: -(one.height_mm or 0.0)))


def drain_points(loop: ResolvedLoop) -> tuple[Place, ...]:
    """Return where a loop can be drained, the lowest first: ports named so, free ports of the lowest part, valves.

    Args:
        loop: the loop.
    """
    lowest = lowest_parts(loop)
    found = [place for part in loop.parts.values() for place in _drain_places(loop, part, part.name in lowest)]
    return tuple(sorted(found, key=lambda one: one.height_mm if one.height_mm is not None else 0.0))


def lowest_parts(loop: ResolvedLoop) -> tuple[str, ...]:
    """Return the parts whose stated height is least; none if no height is stated.

    Args:
        loop: the loop.
    """
    heights = {name: part.asked.height_mm for name, part in loop.parts.items()}
    least = min((height for height in heights.values() if height is not None), default=None)
    return tuple(name for name, height in heights.items() if least is not None and height == least)


def _fill_places(loop: ResolvedLoop, part: LoopPart) -> Iterator[Place]:
    height = part.asked.height_mm
    if _FILL_PORT_FAMILY in part.families:
        yield Place(part.name, Why.FILL_PORT, height)
    used = _used_by_runs(loop)
    for port in part.ports:
        name = f"{part.name}.{port}"
        if port.startswith("fill"):
            yield Place(name, Why.NAMED, height)
        elif name not in used and not port.startswith("drain"):
            yield Place(name, Why.FREE, height)


def _drain_places(loop: ResolvedLoop, part: LoopPart, is_lowest: bool) -> Iterator[Place]:
    height, used = part.asked.height_mm, _used_by_runs(loop)
    for port in part.ports:
        name = f"{part.name}.{port}"
        if port.startswith("drain"):
            yield Place(name, Why.NAMED, height)
        elif name not in used and _VALVE_FAMILY in (*part.families, *_closed_by(loop, name)):
            yield Place(name, Why.VALVE, height)
        elif name not in used and is_lowest:
            yield Place(name, Why.LOWEST, height)


def _closed_by(loop: ResolvedLoop, port: str) -> tuple[str, ...]:
    """Return the families of what closes a port; none if nothing does."""
    return loop.plugs[port].families if port in loop.plugs else ()


def _used_by_runs(loop: ResolvedLoop) -> frozenset[str]:
    return frozenset(end for run in loop.runs for end in (run.asked.from_, run.asked.to))
