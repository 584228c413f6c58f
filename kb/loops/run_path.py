"""The path of one run: port, fittings, tube, fittings, port, and which end of each fitting faces which side.

Owns: choosing the ends of fittings along a run so that its worst joint is as good as possible. Does not own: judging
a joint (`kb/compatibility/joints/joint.py`) or what a loop lacks (`kb/loops/structure.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import permutations
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.joint import Joint
from kb.loops.joint_cache import Likeness, LoopJoints, named
from kb.parts.part import Element, Part


class Station(NamedTuple):
    """One body on the path of a run.

    Attributes:
        part: the tube or fitting; `None` for a port at either end of the run.
        passages: pairs of (entering, leaving) elements that the coolant can take through it.
    """

    part: Part | None
    passages: tuple[tuple[Element, Element], ...]


class RunPath(NamedTuple):
    """A run with every joint judged.

    Attributes:
        joints: joints in the order of the run.
        used: the elements of fittings that joints use.
    """

    joints: tuple[Joint, ...]
    used: tuple[Element, ...]


def port_station(port: Element) -> Station:
    """Return the station of a port at the start or end of a run."""
    return Station(None, ((port, port),))


def part_station(part: Part) -> Station:
    """Return the station of a tube or fitting: every ordered pair of different ends; a tube has one path through."""
    if len(part.elements) == 1:
        element = part.elements[0]
        return Station(part, ((element, element),))
    return Station(part, tuple(permutations(part.elements, 2)))


def best_path(joints: LoopJoints, stations: Sequence[Station]) -> RunPath:
    """Return the path through the stations whose worst joint is best, then whose joints are best in sum.

    Args:
        joints: judges the joints of the loop.
        stations: two or more, from port to port.
    """
    paths = [_Partial((0, 0), (), (), leaving) for _, leaving in stations[0].passages]
    for station in stations[1:]:
        paths = [_best_to(passage, station, paths, joints.like) for passage in station.passages]
    best = min(paths, key=lambda path: path.cost)
    return RunPath(tuple(named(*joint) for joint in best.joints), best.used)


_LikenessOf: TypeAlias = Callable[[Element, Element], Likeness]


class _Partial(NamedTuple):
    cost: tuple[int, int]
    joints: tuple[tuple[Likeness, Element, Element], ...]
    used: tuple[Element, ...]
    leaving: Element


def _best_to(
    passage: tuple[Element, Element], station: Station, paths: Sequence[_Partial], like: _LikenessOf
) -> _Partial:
    entering, leaving = passage
    best: _Partial | None = None
    for path in paths:
        made = like(path.leaving, entering)
        severity = made.joint.verdict.severity
        cost = (max(path.cost[0], severity), path.cost[1] + severity)
        if best is None or cost < best.cost:
            used = () if station.part is None else (entering, leaving)
            best = _Partial(cost, (*path.joints, (made, path.leaving, entering)), path.used + used, leaving)
    assert best is not None
    return best
