"""Which way coolant goes through each branch of a circuit, before any figure is known.

Owns: direction and possibility of flow from the way branches hang together. Does not own: how much flows
(`kb/formulas/flow/series_network.py`), or what the branches are.
Every branch gets a resistance of about one and every running pump a head of one. What holds for two unlike sets of
resistances is taken to hold for any: only bridges between branches can turn with the figures; of these none is said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    import numpy

    Array: TypeAlias = numpy.ndarray[tuple[int, ...], numpy.dtype[numpy.float64]]

_STILL = 1e-9  # what rounding leaves of no flow, where flows are about one


class Way(NamedTuple):
    """A branch between two nodes.

    Attributes:
        name: of the branch.
        start: node of its inlet.
        end: node of its outlet.
        drives: whether a running pump stands in it.
    """

    name: str
    start: str
    end: str
    drives: bool = False


class Directions(NamedTuple):
    """How coolant goes through branches.

    Attributes:
        signs: branch -> 1 from start to end, -1 the other way, 0 if it stands still or figures decide.
        carries: branch -> whether any pump alone moves coolant through it.
    """

    signs: Mapping[str, int]
    carries: Mapping[str, bool]


def directions(ways: Sequence[Way]) -> Directions:
    """Return which way coolant goes through each branch, and whether it can at all.

    Args:
        ways: open branches; shut ones are left out.

    Validity: steady flow, resistances that grow with the flow, pumps much alike.
    Source: balance of flow at nodes and of pressure around loops.

    >>> ring = [Way("pump", "a", "b", True), Way("block", "c", "b"), Way("run", "c", "a"), Way("dead end", "c", "d")]
    >>> found = directions(ring)
    >>> found.signs["pump"], found.signs["block"], found.carries["dead end"]
    (1, -1, False)
    """
    pumps = [at for at, way in enumerate(ways) if way.drives]
    if not pumps:
        still = dict.fromkeys((way.name for way in ways), 0)
        return Directions(MappingProxyType(still), MappingProxyType(dict.fromkeys(still, False)))
    first, second = (_flows(ways, pumps, [shape(2 + at) for at in range(len(ways))]) for shape in (_root, _log))
    together = [(one.sum(), other.sum()) for one, other in zip(first, second, strict=True)]
    signs = {way.name: _sign(*flow) for way, flow in zip(ways, together, strict=True)}
    carries = {way.name: bool(abs(row).max() > _STILL) for way, row in zip(ways, first, strict=True)}
    return Directions(MappingProxyType(signs), MappingProxyType(carries))


def _root(number: int) -> float:
    return 1.0 + math.sqrt(number) % 1.0


def _log(number: int) -> float:
    return 2.0 - math.log(number + 1) % 1.0


def _sign(one: float, other: float) -> int:
    if abs(one) <= _STILL or abs(other) <= _STILL or (one > 0) != (other > 0):
        return 0
    return 1 if one > 0 else -1


def _flows(ways: Sequence[Way], pumps: Sequence[int], resistances: Sequence[float]) -> Array:
    """Return the flow of each branch (row) with each pump alone (column)."""
    import numpy  # noqa: PLC0415 - a pair of parts has no branches

    nodes = {node: at for at, node in enumerate(dict.fromkeys(node for way in ways for node in (way.start, way.end)))}
    incidence = numpy.zeros((len(ways), len(nodes)))
    for at, way in enumerate(ways):
        incidence[at, nodes[way.start]] += 1.0
        incidence[at, nodes[way.end]] -= 1.0
    conductances = 1.0 / numpy.array(resistances)[:, None]
    heads = numpy.zeros((len(ways), len(pumps)))
    heads[pumps, range(len(pumps))] = 1.0
    balance = incidence.T @ (conductances * incidence)
    for node in _references(ways):
        balance[nodes[node], nodes[node]] += 1.0
    pressures = numpy.linalg.solve(balance, -incidence.T @ (conductances * heads))
    found: Array = conductances * (incidence @ pressures + heads)
    return found


def _references(ways: Sequence[Way]) -> set[str]:
    """Return one node of each circuit, whose pressure is zero."""
    leader = {node: node for way in ways for node in (way.start, way.end)}

    def find(node: str) -> str:
        while leader[node] != node:
            leader[node] = leader[leader[node]]
            node = leader[node]
        return node

    for way in ways:
        leader[find(way.start)] = find(way.end)
    return {find(node) for node in leader}
