"""Where coolant flows in a loop, and how it mixes on its way from radiator to radiator.

Owns: what flows alone decide of the temperatures. Does not own: heats and radiators
(`kb/formulas/heat/heat_circuit.py`) or flows (`kb/formulas/flow/pipe_network.py`).
What one branch alone leads to has the temperature of what came before it, and some warmth. So the temperatures of a
loop hang on those of few places: the inlets of its radiators, and the nodes where several branches meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from kb.formulas.solvers.linear import NoSolutionError
from kb.formulas.solvers.linear_ordered import Order, order_of

STILL_L_MIN = 1e-6  # what rounding leaves of no flow

AirPaths: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]  # radiator -> those whose air it gets


class Branch(NamedTuple):
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


def links_of(branches: Sequence[Branch], flows_l_min: Mapping[str, float]) -> tuple[Link, ...]:
    """Return the branches that coolant flows through, turned the way it flows.

    Args:
        branches: the branches of a network.
        flows_l_min: branch -> flow from start to end [l/min]; negative backwards.
    """
    links = []
    for branch in branches:
        flow = flows_l_min[branch.name]
        if flow > STILL_L_MIN:
            links.append(Link(branch.name, branch.start, branch.end, flow))
        elif flow < -STILL_L_MIN:
            links.append(Link(branch.name, branch.end, branch.start, -flow))
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
    """The places that temperatures hang on, and how they follow from one another, whatever flows.

    Places are numbered: first the nodes where branches meet, then the inlets of the radiators, then the air of those
    radiators that draw any from others. The coolant of a place is what leaves it: of an inlet, what its radiator sends.

    Attributes:
        radiators: the radiators that coolant flows through.
        fed: the radiators that draw air from others, with coolant or without.
        junctions: the nodes where branches meet.
        place_of: node -> place whose coolant it gets.
        chain: nodes that one branch alone leads to, with the node before, each behind that one.
        entering: for each node where branches meet, the branches, with their starts; a radiator with its place instead.
        order: how places follow from one another.
    """

    radiators: tuple[str, ...]
    fed: tuple[str, ...]
    junctions: Sequence[int]
    place_of: Sequence[int]
    chain: Sequence[tuple[int, int]]
    entering: Sequence[Sequence[tuple[str, int, bool]]]
    order: Order


class Warmth(NamedTuple):
    """What heat makes of the temperatures, with the heat capacity flow of 1 l/min as 1 W/K.

    Attributes:
        nodes: of each node over the coolant of its place [K].
        places: of what enters each place over what it mixes from [K].
    """

    nodes: Sequence[float]
    places: Sequence[float]


class Reach:
    """How coolant mixes on its way from place to place; decided by flows alone.

    Attributes:
        course: the places.
        mixes: for each place but those of air, the places it mixes from with their shares [-].
    """

    def __init__(self, flow_graph: FlowGraph, course: Course) -> None:
        """Work out the shares.

        Raises:
            NoSolutionError: if coolant leaves a node that none enters: rounding, where next to nothing flows.
        """
        self.course = course
        self._layout = flow_graph.layout
        self._entering = [0.0] * len(flow_graph.layout.nodes)
        ends, flows = flow_graph.layout.ends, flow_graph.flows_l_min
        for name, flow in flows.items():
            self._entering[ends[name]] += flow
        if min(self._entering, default=1.0) <= 0:
            raise NoSolutionError("coolant leaves a place that none enters")
        self._shares = [
            [flows[name] / self._entering[node] for name, _, _ in entering]
            for node, entering in zip(course.junctions, course.entering, strict=True)
        ]
        starts = flow_graph.layout.starts
        self.mixes: list[list[tuple[int, float]]] = [
            _merged([at if sent else course.place_of[at] for _, at, sent in entering], shares)
            for entering, shares in zip(course.entering, self._shares, strict=True)
        ]
        self.mixes += [[(course.place_of[starts[name]], 1.0)] for name in course.radiators]
        self._warmths: dict[tuple[tuple[str, float], ...], Warmth] = {}

    def warmth(self, heats_w: Mapping[str, float]) -> Warmth:
        """Return what heat makes of the temperatures.

        Args:
            heats_w: branch -> heat it takes up [W].
        """
        key = tuple(heats_w.items())
        found = self._warmths.get(key)
        if found is None:
            found = self._warmths[key] = self._warmed(heats_w)
        return found

    def _warmed(self, heats_w: Mapping[str, float]) -> Warmth:
        course, layout = self.course, self._layout
        heats = [0.0] * len(self._entering)
        for name, heat in heats_w.items():
            if name in layout.ends:
                heats[layout.ends[name]] += heat
        nodes = [0.0] * len(heats)
        for node, before in course.chain:
            nodes[node] = heats[node] / self._entering[node] + (nodes[before] if before >= 0 else 0.0)
        places = [heats[node] / self._entering[node] for node in course.junctions]
        for at, (entering, shares) in enumerate(zip(course.entering, self._shares, strict=True)):
            for (_, start, sent), share in zip(entering, shares, strict=True):
                places[at] += 0.0 if sent else share * nodes[start]
        places += [nodes[layout.starts[name]] for name in course.radiators]
        return Warmth(nodes, places)


class FlowGraph:
    """Where coolant flows, with everything worked out that depends on flows alone; solved for many heats.

    Attributes:
        links: the branches that coolant flows through.
        flows_l_min: branch -> its flow.
        layout: what they join.
    """

    def __init__(self, links: Sequence[Link], alike: FlowGraph | None = None) -> None:
        """Work out what flows decide.

        Args:
            links: the branches that coolant flows through.
            alike: perhaps the same branches with other flows; what they join is then not worked out again.
        """
        self.links = tuple(links)
        self.flows_l_min = {link.name: link.flow_l_min for link in links}
        same = alike if alike is not None and _join_alike(alike.links, self.links) else None
        self.layout: Layout = same.layout if same is not None else _layout(self.links)
        self._courses: dict[tuple[tuple[str, ...], AirPaths], Course] = same._courses if same is not None else {}
        self._reaches: dict[tuple[tuple[str, ...], AirPaths], Reach] = {}

    def cooled(self, rejecting: Iterable[str]) -> FlowGraph:
        """Return those circuits in which a radiator gives off heat.

        Args:
            rejecting: radiators that do.
        """
        circuit_of = self.layout.circuit_of
        cooled = {circuit_of[name] for name in rejecting if name in circuit_of}
        if cooled == self.layout.circuits:
            return self
        return FlowGraph([link for link in self.links if circuit_of[link.name] in cooled])

    def reach(self, radiators: tuple[str, ...], air_paths: AirPaths = ()) -> Reach:
        """Return how coolant mixes on its way.

        Args:
            radiators: their branches, at least one in each circuit.
            air_paths: radiators that draw air from others, with coolant or without, and these others.

        Raises:
            NoSolutionError: as `Reach`, or if coolant goes round without passing a radiator or mixing: rounding, too.

        Source: balance of energy at every node.
        """
        key = radiators, air_paths
        found = self._reaches.get(key)
        if found is None:
            if key not in self._courses:
                self._courses[key] = _course(self.layout, radiators, air_paths)
            found = self._reaches[key] = Reach(self, self._courses[key])
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


def _course(layout: Layout, radiators: tuple[str, ...], air_paths: AirPaths) -> Course:
    into: list[list[str]] = [[] for _ in layout.nodes]
    after: list[list[str]] = [[] for _ in layout.nodes]
    for name, end in layout.ends.items():
        into[end].append(name)
        after[layout.starts[name]].append(name)
    junctions = [node for node, names in enumerate(into) if len(names) != 1]
    inlets = {name: at for at, name in enumerate(radiators, len(junctions))}
    place_of, chain = _chains(layout, after, junctions, inlets)
    entering = [
        [(name, inlets.get(name, layout.starts[name]), name in inlets) for name in into[node]] for node in junctions
    ]
    fed = {name: at for at, (name, _) in enumerate(air_paths, len(junctions) + len(radiators))}
    order = _order(layout, place_of, entering, inlets, fed, air_paths)
    return Course(radiators, tuple(fed), junctions, place_of, chain, entering, order)


def _chains(
    layout: Layout, after: Sequence[Sequence[str]], junctions: Sequence[int], inlets: Mapping[str, int]
) -> tuple[list[int], list[tuple[int, int]]]:
    """Return the place whose coolant each node gets, and the nodes between places in the order of the flow."""
    place_of = [-1] * len(layout.nodes)
    for place, node in enumerate(junctions):
        place_of[node] = place
    met = set(junctions)
    chain: list[tuple[int, int]] = []

    def follow(node: int) -> None:
        waiting = [node]
        while waiting:
            before = waiting.pop()
            for name in after[before]:
                end = layout.ends[name]
                if name not in inlets and end not in met and place_of[end] < 0:
                    place_of[end] = place_of[before]
                    chain.append((end, before))
                    waiting.append(end)

    for node in junctions:
        follow(node)
    for name, place in inlets.items():
        end = layout.ends[name]
        if end not in met:
            place_of[end] = place
            chain.append((end, -1))
            follow(end)
    if -1 in place_of:
        raise NoSolutionError("coolant goes round by itself")
    return place_of, chain


def _order(
    layout: Layout,
    place_of: Sequence[int],
    entering: Sequence[Sequence[tuple[str, int, bool]]],
    inlets: Mapping[str, int],
    fed: Mapping[str, int],
    air_paths: AirPaths,
) -> Order:
    """Return how places follow from one another."""
    air_at = {inlets[name]: at for name, at in fed.items() if name in inlets}

    def coolant(place: int) -> list[int]:
        return [place, air_at[place]] if place in air_at else [place]

    hang_on = [[one for _, at, sent in those for one in coolant(at if sent else place_of[at])] for those in entering]
    hang_on += [coolant(place_of[layout.starts[name]]) for name in inlets]
    hang_on += [
        [at for name in others for at in (inlets.get(name), fed.get(name)) if at is not None] for _, others in air_paths
    ]
    return order_of(hang_on)


def _merged(places: Sequence[int], shares: Sequence[float]) -> list[tuple[int, float]]:
    found: dict[int, float] = {}
    for place, share in zip(places, shares, strict=True):
        found[place] = found.get(place, 0.0) + share
    return list(found.items())


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
