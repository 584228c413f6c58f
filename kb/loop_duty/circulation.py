"""Where coolant flows in a loop, and how it mixes on its way from radiator to radiator.

Owns: what flows alone decide of the temperatures. Does not own: heats and radiators
(`kb/loop_duty/heat_network.py`) or flows (`kb/duty/network.py`).
If what radiators send off were known, every node would follow from those before it, in the order in which the coolant
comes round. So the temperatures of a loop hang on those of its radiators alone. Where coolant also goes round without
passing a radiator, one node of that round is taken as known as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from kb.duty.few_equations import NoSolutionError

STILL_L_MIN = 1e-6  # what rounding leaves of no flow


class Way(NamedTuple):
    """A branch of the network of the coolant."""

    name: str
    start: str
    end: str


class Link(NamedTuple):
    """A branch that coolant flows through, from start to end."""

    name: str
    start: str
    end: str
    flow_l_min: float


def links_of(ways: Sequence[Way], flows_l_min: Mapping[str, float]) -> tuple[Link, ...]:
    """Return the branches that coolant flows through, turned the way it flows.

    Args:
        ways: the branches of a network.
        flows_l_min: branch -> flow from start to end [l/min]; negative backwards.
    """
    links = []
    for way in ways:
        flow = flows_l_min[way.name]
        if flow > STILL_L_MIN:
            links.append(Link(way.name, way.start, way.end, flow))
        elif flow < -STILL_L_MIN:
            links.append(Link(way.name, way.end, way.start, -flow))
    return tuple(links)


class Layout(NamedTuple):
    """What branches join, whatever flows in them.

    Attributes:
        nodes: node -> its number.
        starts: branch -> number of the node it starts at.
        ends: branch -> number of the node it ends at.
        circuit_of: branch -> a node that stands for all that hangs together with it.
        circuits: all of these.
    """

    nodes: Mapping[str, int]
    starts: Mapping[str, int]
    ends: Mapping[str, int]
    circuit_of: Mapping[str, str]
    circuits: frozenset[str]


class Course(NamedTuple):
    """The order in which nodes follow from one another, if what radiators send off is known.

    Attributes:
        order: numbers of the nodes, each behind those it mixes from.
        loose: nodes that had to be taken as known, as coolant also goes round without passing a radiator.
    """

    order: tuple[int, ...]
    loose: tuple[int, ...]


class Mixing(NamedTuple):
    """How the coolant that enters a node is made up.

    Attributes:
        node: its number.
        share: of each l/min that enters [min/l].
        others: number of another node, and what flows from there [l/min].
        sent: number of a radiator, and what flows from there [l/min].
    """

    node: int
    share: float
    others: Sequence[tuple[int, float]]
    sent: Sequence[tuple[int, float]]


class Reach(NamedTuple):
    """How far the coolant that radiators send off reaches round a loop; decided by flows alone.

    Attributes:
        radiators: the radiators in the loop.
        loose: further nodes whose temperature has to be found together with them.
        steps: all nodes in their order.
        loose_steps: how loose nodes mix.
        inlets: the number of the node each radiator draws from.
        shares: for each radiator and loose node, how it is made up of what each of them sends off [-].
    """

    radiators: tuple[str, ...]
    loose: tuple[int, ...]
    steps: Sequence[Mixing]
    loose_steps: Sequence[Mixing]
    inlets: Sequence[int]
    shares: tuple[tuple[float, ...], ...]


class Circulation:
    """Where coolant flows, with everything worked out that depends on flows alone; solved for many heats.

    Attributes:
        links: the branches that coolant flows through.
        flows_l_min: branch -> its flow.
        layout: what they join.
    """

    def __init__(self, links: Sequence[Link], alike: Circulation | None = None) -> None:
        """Work out what flows decide.

        Args:
            links: the branches that coolant flows through.
            alike: perhaps the same branches with other flows; what they join is then not worked out again.
        """
        self.links = tuple(links)
        self.flows_l_min = {link.name: link.flow_l_min for link in links}
        same = alike if alike is not None and _join_alike(alike.links, self.links) else None
        self.layout: Layout = same.layout if same is not None else _layout(self.links)
        self._courses: dict[tuple[str, ...], Course] = same._courses if same is not None else {}
        self._reaches: dict[tuple[str, ...], Reach] = {}

    def cooled(self, shedding: Iterable[str]) -> Circulation:
        """Return those circuits in which a radiator gives off heat.

        Args:
            shedding: radiators that do.
        """
        circuit_of = self.layout.circuit_of
        cooled = {circuit_of[name] for name in shedding if name in circuit_of}
        if cooled == self.layout.circuits:
            return self
        return Circulation([link for link in self.links if circuit_of[link.name] in cooled])

    def reach(self, radiators: tuple[str, ...]) -> Reach:
        """Return how far radiators reach.

        Args:
            radiators: their branches, at least one in each circuit.

        Raises:
            NoSolutionError: if coolant leaves a node that none enters: rounding, where next to nothing flows.

        Source: balance of energy at every node, the coolant that leaves a radiator taken as known.
        """
        found = self._reaches.get(radiators)
        if found is None:
            if radiators not in self._courses:
                self._courses[radiators] = _course(self.layout, radiators)
            found = self._reaches[radiators] = _reach(self, radiators, self._courses[radiators])
        return found


def _join_alike(some: Sequence[Link], others: Sequence[Link]) -> bool:
    return len(some) == len(others) and all(one[:3] == other[:3] for one, other in zip(some, others, strict=True))


def _layout(links: Sequence[Link]) -> Layout:
    nodes: dict[str, int] = {}
    for link in links:
        nodes.setdefault(link.start, len(nodes))
        nodes.setdefault(link.end, len(nodes))
    circuit_of = _circuits(links)
    return Layout(
        nodes=nodes,
        starts={link.name: nodes[link.start] for link in links},
        ends={link.name: nodes[link.end] for link in links},
        circuit_of=circuit_of,
        circuits=frozenset(circuit_of.values()),
    )


def _course(layout: Layout, radiators: Sequence[str]) -> Course:
    """Return the nodes in an order in which each follows from those before it."""
    following: list[list[int]] = [[] for _ in layout.nodes]
    open_ways = [0] * len(layout.nodes)
    for name, start in layout.starts.items():
        if name not in radiators:
            following[start].append(layout.ends[name])
            open_ways[layout.ends[name]] += 1
    order: list[int] = []
    loose: list[int] = []
    left = set(layout.nodes.values())
    ready = [node for node in left if open_ways[node] == 0]
    while left:
        if ready:
            node = ready.pop()
            order.append(node)
        else:
            node = min(left)
            loose.append(node)
        left.discard(node)
        for after in following[node]:
            open_ways[after] -= 1
            if open_ways[after] == 0 and after in left:
                ready.append(after)
    return Course(tuple(order), tuple(loose))


def _reach(circulation: Circulation, radiators: tuple[str, ...], course: Course) -> Reach:
    layout = circulation.layout
    others: list[list[tuple[int, float]]] = [[] for _ in layout.nodes]
    sent: list[list[tuple[int, float]]] = [[] for _ in layout.nodes]
    number = {name: at for at, name in enumerate(radiators)}
    entering = [0.0] * len(layout.nodes)
    for name, flow in circulation.flows_l_min.items():
        end = layout.ends[name]
        entering[end] += flow
        if name in number:
            sent[end].append((number[name], flow))
        else:
            others[end].append((layout.starts[name], flow))
    if min(entering, default=1.0) <= 0:
        raise NoSolutionError("coolant leaves a place that none enters")
    steps, loose_steps = (
        [Mixing(node, 1 / entering[node], others[node], sent[node]) for node in nodes]
        for nodes in (course.order, course.loose)
    )
    inlets = [layout.starts[name] for name in radiators]
    reach = Reach(radiators, course.loose, steps, loose_steps, inlets, ())
    none = [0.0] * len(layout.nodes)
    size = len(radiators) + len(course.loose)
    units = [drawn(reach, [float(at == one) for at in range(size)], none) for one in range(size)]
    return reach._replace(shares=tuple(zip(*units, strict=True)))


def temperatures(reach: Reach, sent: Sequence[float], entering: Sequence[float]) -> list[float]:
    """Return the temperature of every node.

    Args:
        reach: how far radiators reach.
        sent: temperature of what each radiator sends off, and of each loose node.
        entering: heat that enters at each node over the heat capacity flow of 1 l/min [K l/min].

    Source: balance of energy at every node.
    """
    found = [0.0] * len(entering)
    for node, value in zip(reach.loose, sent[len(reach.radiators) :], strict=True):
        found[node] = value
    _mix(reach.steps, found, sent, entering, found)
    return found


def _mix(
    steps: Sequence[Mixing], found: Sequence[float], sent: Sequence[float], entering: Sequence[float], to: list[float]
) -> None:
    """Write down the temperatures to which nodes mix, one after the other."""
    for node, share, others, radiators in steps:
        total = entering[node]
        for other, flow in others:
            total += flow * found[other]
        for radiator, flow in radiators:
            total += flow * sent[radiator]
        to[node] = total * share


def drawn(reach: Reach, sent: Sequence[float], entering: Sequence[float]) -> list[float]:
    """Return the temperature that each radiator draws, and that each loose node mixes to.

    Args and source: as `temperatures`.
    """
    found = temperatures(reach, sent, entering)
    mixed = list(found)
    _mix(reach.loose_steps, found, sent, entering, mixed)
    return [found[node] for node in reach.inlets] + [mixed[node] for node in reach.loose]


def _circuits(links: Sequence[Link]) -> dict[str, str]:
    """Return for each branch a node that stands for all that hangs together with it."""
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            leader[node] = node = leader[leader[node]]
        return node

    for link in links:
        leader[find(link.start)] = find(link.end)
    return {link.name: find(link.start) for link in links}
