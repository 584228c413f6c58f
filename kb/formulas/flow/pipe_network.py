"""A loop as a network of branches: the flow in every branch and the pressure at every node.

Owns: the solution of a network. Does not own: what an element takes (`kb/formulas/flow/flow_elements.py`) or verdicts.

The unknowns are the flows around independent cycles of the network, so that what enters a node leaves it whatever the
unknowns are. Around each cycle the drops must sum to nothing. As every element takes more pressure at more flow, this
is the minimum of a strictly convex function: there is one solution, and Newton's method with a search along its
direction finds it from anywhere. A branch in no cycle, such as a dead end, has no flow.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from kb.formulas.flow.flow_elements import Element
from kb.formulas.solvers.linear import solve, squared
from schemas.columns.fixable import FixableError

if TYPE_CHECKING:
    from kb.formulas.solvers.linear import Array

CLOSED_TO = 1e-11  # share of the drops around a cycle that may remain
SMALLEST_KPA = 1e-10  # nothing in a loop pushes so little
MOST_STEPS = 200
_MOST_HALVINGS = 60
_GOOD_ENOUGH = 0.3  # of the slope along the direction may remain
_LEAST_SLOPE = 1e-9  # kPa per l/min: keeps the equations solvable where losses start without a slope
_STEP_SHARE = 1e-5
_LEAST_STEP = 1e-6  # l/min: less than passes what is all but blocked
_FIRST_GUESS = 1.0  # l/min
_FEW_CYCLES = 16  # up to which numbers one by one take less time than arrays


class Branch(NamedTuple):
    """One element between two nodes; flow counts from start to end."""

    name: str
    start: str
    end: str
    element: Element


class NetworkState(NamedTuple):
    """A solved network.

    Attributes:
        flows_l_min: branch -> flow from its start to its end; negative backwards.
        drops_kpa: branch -> pressure at its start less pressure at its end; negative over a pump that pushes.
        pressures_kpa: node -> pressure over the reference node. What no branch joins with the reference is counted
            from its own first node.
        loop_error_kpa: what remains around the worst cycle.
        steps: steps the search took.
    """

    flows_l_min: Mapping[str, float]
    drops_kpa: Mapping[str, float]
    pressures_kpa: Mapping[str, float]
    loop_error_kpa: float
    steps: int


class NetworkError(FixableError):
    """A network that cannot be solved."""


class _Step(NamedTuple):
    """How a node hangs on the tree: over which branch, and whether that branch leads to it."""

    parent: str
    branch: int
    outward: bool


_Cycle = tuple[tuple[int, int], ...]  # branch, +1 along or -1 against it


def solve_network(
    branches: Sequence[Branch], reference: str, guess: Mapping[str, float] = MappingProxyType({})
) -> NetworkState:
    """Return flows and pressures of a network.

    Args:
        branches: the branches, each under a name of its own; every element takes more pressure at more flow.
        reference: the node whose pressure is zero, as a rule the reservoir.
        guess: branch -> flow of a network much alike [l/min]; saves steps and changes no answer.

    Raises:
        NetworkError: if a name stands twice, the reference is no node, or an element breaks the promise above.

    Validity: steady flow of one liquid in filled parts. Continuity holds to rounding, around every cycle
    `CLOSED_TO` of the drops remains at most.
    Source: Kirchhoff's two rules; minimum of content (Millar 1951) by Newton's method.

    >>> from kb.formulas.flow.flow_elements import MeasuredPart, Pump
    >>> from kb.formulas.flow.pump_curve import pump_curve
    >>> push = Pump(pump_curve([(0, 40), (20, 0)], 5.0, 2.5), 1.0)
    >>> state = solve_network(
    ...     [Branch("pump", "a", "b", push), Branch("block", "b", "a", MeasuredPart(5.0, 10.0, 1.0))], "a")
    >>> round(state.flows_l_min["block"], 6), round(state.pressures_kpa["b"], 6)
    (10.0, 20.0)
    """
    _refuse_bad_names(branches, reference)
    order, steps = _spanning_forest(branches, reference)
    cycles = _cycles(branches, steps)
    search = _Search(branches, cycles)
    flows = search.run([guess.get(branches[cycle[0][0]].name) or _FIRST_GUESS for cycle in cycles])
    drops = [branch.element.drop_kpa(flow) for branch, flow in zip(branches, flows, strict=True)]
    names = [branch.name for branch in branches]
    return NetworkState(
        flows_l_min=MappingProxyType(dict(zip(names, flows, strict=True))),
        drops_kpa=MappingProxyType(dict(zip(names, drops, strict=True))),
        pressures_kpa=MappingProxyType(_pressures(order, steps, drops)),
        loop_error_kpa=search.error_kpa,
        steps=search.steps,
    )


def replaced(branches: Sequence[Branch], name: str, change: Callable[[Element], Element]) -> tuple[Branch, ...]:
    """Return the network with the element of one branch changed: a pump dead, a filter clogged.

    Args:
        branches: the network.
        name: the branch.
        change: makes the new element of the old one.

    Raises:
        NetworkError: if there is no such branch.
    """
    _find(branches, name)
    return tuple(
        branch._replace(element=change(branch.element)) if branch.name == name else branch for branch in branches
    )


def closed(branches: Sequence[Branch], name: str) -> tuple[Branch, ...]:
    """Return the network with one branch shut, as by a closed valve.

    Args:
        branches: the network.
        name: the branch.

    Raises:
        NetworkError: if there is no such branch.
    """
    _find(branches, name)
    return tuple(branch for branch in branches if branch.name != name)


def _find(branches: Sequence[Branch], name: str) -> None:
    if all(branch.name != name for branch in branches):
        raise NetworkError(f"no branch is called {name}", "name one of the branches")


def _refuse_bad_names(branches: Sequence[Branch], reference: str) -> None:
    names = [branch.name for branch in branches]
    if len(set(names)) < len(names):
        raise NetworkError("two branches have one name", "give every branch a name of its own")
    if all(reference not in (branch.start, branch.end) for branch in branches):
        raise NetworkError(f"no branch touches {reference}", "name a node of the network as reference")


def _spanning_forest(branches: Sequence[Branch], reference: str) -> tuple[list[str], dict[str, _Step | None]]:
    """Return the nodes, the nearer to the reference the earlier, and how each hangs on its tree."""
    touching: dict[str, list[int]] = {reference: []}
    for index, branch in enumerate(branches):
        touching.setdefault(branch.start, []).append(index)
        touching.setdefault(branch.end, []).append(index)
    order: list[str] = []
    steps: dict[str, _Step | None] = {}
    for root in touching:
        if root in steps:
            continue
        steps[root] = None
        waiting = deque([root])
        while waiting:
            node = waiting.popleft()
            order.append(node)
            for index in touching[node]:
                branch = branches[index]
                outward = branch.start == node
                other = branch.end if outward else branch.start
                if other not in steps:
                    steps[other] = _Step(node, index, outward)
                    waiting.append(other)
    return order, steps


def _cycles(branches: Sequence[Branch], steps: Mapping[str, _Step | None]) -> list[_Cycle]:
    """Return one cycle for every branch that is not in the tree: along it and back through the tree."""
    in_tree = {step.branch for step in steps.values() if step is not None}
    return [_cycle(index, branch, steps) for index, branch in enumerate(branches) if index not in in_tree]


def _cycle(index: int, branch: Branch, steps: Mapping[str, _Step | None]) -> _Cycle:
    signs: dict[int, int] = {}
    for node, direction in ((branch.start, 1), (branch.end, -1)):
        step = steps[node]
        while step is not None:
            signs[step.branch] = signs.get(step.branch, 0) + (direction if step.outward else -direction)
            step = steps[step.parent]
    return ((index, 1), *((at, sign) for at, sign in signs.items() if sign))


def _pressures(order: Sequence[str], steps: Mapping[str, _Step | None], drops: Sequence[float]) -> dict[str, float]:
    found: dict[str, float] = {}
    for node in order:
        step = steps[node]
        if step is None:
            found[node] = 0.0
        else:
            drop = drops[step.branch]
            found[node] = found[step.parent] - (drop if step.outward else -drop)
    return found


class _Search:
    """Newton's method over the flows around the cycles; used once."""

    def __init__(self, branches: Sequence[Branch], cycles: Sequence[_Cycle]) -> None:
        self._elements = [branch.element for branch in branches]
        self._cycles = cycles
        self._known_at: list[float] = []
        self._known_drops: list[float] = []
        self._incidence: Array | None = None
        self.error_kpa = 0.0
        self.steps = 0

    def run(self, around: list[float]) -> list[float]:
        """Return the flow of every branch, searching from these flows around the cycles."""
        still = [0.0] * len(self._cycles)
        if self._closed(still):
            return self._flows(still)
        while not self._closed(around):
            if self.steps == MOST_STEPS:
                raise NetworkError("no solution was found", "see that every element takes more pressure at more flow")
            around = self._better(around)
            self.steps += 1
        return self._flows(around)

    def _flows(self, around: Sequence[float]) -> list[float]:
        flows = [0.0] * len(self._elements)
        for flow, cycle in zip(around, self._cycles, strict=True):
            for branch, sign in cycle:
                flows[branch] += sign * flow
        return flows

    def _drops(self, around: list[float]) -> list[float]:
        """Return the drop of every branch; the last place asked for is remembered, as each is asked for thrice."""
        if around != self._known_at:
            flows = self._flows(around)
            self._known_at = around
            self._known_drops = [one.drop_kpa(flow) for one, flow in zip(self._elements, flows, strict=True)]
        return self._known_drops

    def _sums(self, around: list[float]) -> list[float]:
        drops = self._drops(around)
        return [sum(sign * drops[branch] for branch, sign in cycle) for cycle in self._cycles]

    def _closed(self, around: list[float]) -> bool:
        drops = self._drops(around)
        worst, shut = 0.0, True
        for cycle in self._cycles:
            left = abs(sum(sign * drops[branch] for branch, sign in cycle))
            whole = sum(abs(drops[branch]) for branch, _ in cycle)
            worst = max(worst, left)
            shut = shut and left <= max(CLOSED_TO * whole, SMALLEST_KPA)
        self.error_kpa = worst
        return shut

    def _better(self, around: list[float]) -> list[float]:
        sums = self._sums(around)
        slopes, downhill = self._slopes(around), [-left for left in sums]
        few = len(self._cycles) <= _FEW_CYCLES
        direction = _solved(self._matrix(slopes), downhill) if few else self._solved_at_once(slopes, downhill)

        def slope_at(share: float) -> float:
            there = [flow + share * way for flow, way in zip(around, direction, strict=True)]
            return sum(left * way for left, way in zip(self._sums(there), direction, strict=True))

        share = _share_along(slope_at, sum(left * way for left, way in zip(sums, direction, strict=True)))
        return [flow + share * way for flow, way in zip(around, direction, strict=True)]

    def _slopes(self, around: list[float]) -> list[float]:
        places = zip(self._elements, self._flows(around), self._drops(around), strict=True)
        return [_slope(element, flow, drop) for element, flow, drop in places]

    def _matrix(self, slopes: Sequence[float]) -> list[list[float]]:
        signs = [dict(cycle) for cycle in self._cycles]
        return [
            [sum([sign * other.get(branch, 0) * slopes[branch] for branch, sign in cycle]) for other in signs]
            for cycle in self._cycles
        ]

    def _solved_at_once(self, slopes: Sequence[float], right: Sequence[float]) -> list[float]:
        """Make and solve the equations of many cycles as arrays."""
        import numpy  # noqa: PLC0415 - hardly any loop has so many cycles

        if self._incidence is None:
            self._incidence = numpy.zeros((len(self._cycles), len(self._elements)))
            for at, cycle in enumerate(self._cycles):
                for branch, sign in cycle:
                    self._incidence[at, branch] = sign
        matrix = squared(self._incidence, numpy.array(slopes))
        return solve(numpy.column_stack([matrix, right]))


def _slope(element: Element, flow: float, drop: float) -> float:
    step = max(_STEP_SHARE * abs(flow), _LEAST_STEP)
    return max((element.drop_kpa(flow + step) - drop) / step, _LEAST_SLOPE)


def _share_along(slope_at: Callable[[float], float], at_start: float) -> float:
    """Return how far to go along the direction: where the rising slope, below zero at the start, is nearly zero."""
    low, high = 0.0, 1.0
    for _ in range(_MOST_HALVINGS):
        slope = slope_at(high)
        if abs(slope) <= _GOOD_ENOUGH * abs(at_start):
            return high
        if slope > 0:
            break
        low, high = high, 2 * high
    for _ in range(_MOST_HALVINGS):
        middle = (low + high) / 2
        slope = slope_at(middle)
        if abs(slope) <= _GOOD_ENOUGH * abs(at_start):
            return middle
        low, high = (middle, high) if slope < 0 else (low, middle)
    return (low + high) / 2


def _solved(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a small system of equations whose matrix is symmetric and positive definite (Gauss, without pivots)."""
    size = len(right)
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for at in range(size):
        for below in range(at + 1, size):
            factor = rows[below][at] / rows[at][at]
            for column in range(at, size + 1):
                rows[below][column] -= factor * rows[at][column]
    found = [0.0] * size
    for at in reversed(range(size)):
        known = sum(rows[at][column] * found[column] for column in range(at + 1, size))
        found[at] = (rows[at][size] - known) / rows[at][at]
    return found
