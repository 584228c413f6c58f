"""Networks whose parts mostly stand one behind the other: solved with one branch for each chain.

Owns: joining chains, and giving every branch of the chains its flow and drop. Does not own: the solution
(`kb/formulas/flow/pipe_network.py`) or the paths (`kb/formulas/flow/flow_path.py`).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_path import FlowPath, Restriction, joined
from kb.formulas.flow.pipe_network import Branch, NetworkState, solve_network


class PathBranch(NamedTuple):
    """A path between two nodes; flow counts from start to end."""

    name: str
    start: str
    end: str
    path: FlowPath


class Chain(NamedTuple):
    """Branches one behind the other, between two nodes where paths meet.

    Attributes:
        name: of its first branch.
        start: the first node.
        end: the last node.
        members: place of each branch, and 1 if it leads along the chain or -1.
        path: all of them as one path.
    """

    name: str
    start: str
    end: str
    members: tuple[tuple[int, int], ...]
    path: FlowPath


class Circuit(NamedTuple):
    """A connected network, its chains joined once.

    Attributes:
        branches: its branches.
        reference: the node whose pressure is zero.
        chains: its chains.
    """

    branches: tuple[PathBranch, ...]
    reference: str
    chains: tuple[Chain, ...]


def circuit_of(branches: Sequence[PathBranch], reference: str) -> Circuit:
    """Return a connected network with its chains joined.

    Args:
        branches: the branches, each under a name of its own, connected with one another.
        reference: the node whose pressure is zero.
    """
    touching: dict[str, list[int]] = {}
    for at, branch in enumerate(branches):
        touching.setdefault(branch.start, []).append(at)
        touching.setdefault(branch.end, []).append(at)
    junctions = {node for node, those in touching.items() if len(those) != 2 or node == reference}  # noqa: PLR2004
    starts = [(node, at) for node, those in touching.items() if node in junctions for at in those]
    chains: list[Chain] = []
    used: set[int] = set()
    for node, at in (*starts, *((branch.start, at) for at, branch in enumerate(branches))):
        if at not in used:
            junctions.add(node)
            chains.append(_chain(branches, touching, junctions, node, at, used))
    return Circuit(tuple(branches), reference, tuple(chains))


def changed(circuit: Circuit, paths: Mapping[str, FlowPath | None]) -> Circuit:
    """Return a circuit with some branches changed.

    Args:
        circuit: the circuit.
        paths: branch -> its new path; `None` shuts it.
    """
    if any(path is None for path in paths.values()):
        kept = [one._replace(path=paths.get(one.name) or one.path) for one in circuit.branches]
        return circuit_of([one for one in kept if paths.get(one.name, one.path) is not None], circuit.reference)
    branches, changes = list(circuit.branches), set[int]()
    for at, branch in enumerate(circuit.branches):
        path = paths.get(branch.name)
        if path is not None:
            branches[at] = branch._replace(path=path)
            changes.add(at)
    chains = tuple(
        [
            chain
            if changes.isdisjoint([at for at, _ in chain.members])
            else chain._replace(path=joined([(branches[at].path, sign) for at, sign in chain.members]))
            for chain in circuit.chains
        ]
    )
    return Circuit(tuple(branches), circuit.reference, chains)


def solve_circuit(
    circuit: Circuit, coolant: Coolant, restriction: Restriction, guess: Mapping[str, float] = MappingProxyType({})
) -> NetworkState:
    """Return flows and pressures of a circuit.

    Args:
        circuit: the circuit.
        coolant: what flows.
        restriction: which end of every known range is taken.
        guess: branch -> flow of a circuit much alike [l/min].

    Raises:
        NetworkError: as `solve_network`.

    Validity and source: as `solve_network`; joining chains changes no flow.
    """
    if not _is_pushed(circuit):
        return _still(circuit)
    return _spread(circuit, _solved_chains(circuit, coolant, restriction, guess), coolant, restriction)


def circuit_flows(
    circuit: Circuit, coolant: Coolant, restriction: Restriction, guess: Mapping[str, float] = MappingProxyType({})
) -> dict[str, float]:
    """Return the flow of every branch of a circuit [l/min], in half the time of drops and pressures as well.

    Args, errors, validity and source: as `solve_circuit`.
    """
    if not _is_pushed(circuit):
        return dict.fromkeys((one.name for one in circuit.branches), 0.0)
    flows = _solved_chains(circuit, coolant, restriction, guess).flows_l_min
    return {
        circuit.branches[at].name: sign * flows[chain.name] for chain in circuit.chains for at, sign in chain.members
    }


def _is_pushed(circuit: Circuit) -> bool:
    return any(pump.speed > 0 for chain in circuit.chains for pump in chain.path.pumps)


def _solved_chains(
    circuit: Circuit, coolant: Coolant, restriction: Restriction, guess: Mapping[str, float]
) -> NetworkState:
    short = [Branch(one.name, one.start, one.end, one.path.element(coolant, restriction)) for one in circuit.chains]
    first = {one.name: one.members[0][1] * guess.get(one.name, 0.0) for one in circuit.chains}
    return solve_network(short, circuit.reference, first)


def _spread(circuit: Circuit, solved: NetworkState, coolant: Coolant, restriction: Restriction) -> NetworkState:
    flows: dict[str, float] = {}
    drops: dict[str, float] = {}
    pressures = dict(solved.pressures_kpa)
    for chain in circuit.chains:
        along, node = solved.flows_l_min[chain.name], chain.start
        for at, sign in chain.members:
            branch = circuit.branches[at]
            flow = flows[branch.name] = sign * along
            drop = drops[branch.name] = branch.path.element(coolant, restriction).drop_kpa(flow)
            following = branch.end if sign > 0 else branch.start
            pressures.setdefault(following, pressures[node] - sign * drop)
            node = following
    return NetworkState(
        MappingProxyType(flows),
        MappingProxyType(drops),
        MappingProxyType(pressures),
        solved.loop_error_kpa,
        solved.steps,
    )


def _still(circuit: Circuit) -> NetworkState:
    """Return a circuit in which nothing pushes."""
    nothing = dict.fromkeys((one.name for one in circuit.branches), 0.0)
    nodes = dict.fromkeys((node for one in circuit.branches for node in (one.start, one.end)), 0.0)
    return NetworkState(MappingProxyType(nothing), MappingProxyType(nothing), MappingProxyType(nodes), 0.0, 0)


def _chain(
    branches: Sequence[PathBranch],
    touching: Mapping[str, Sequence[int]],
    junctions: set[str],
    node: str,
    at: int,
    used: set[int],
) -> Chain:
    start, members = node, []
    while True:
        used.add(at)
        branch = branches[at]
        sign = 1 if branch.start == node else -1
        members.append((at, sign))
        node = branch.end if sign > 0 else branch.start
        if node in junctions:
            break
        at = next(other for other in touching[node] if other != at)
    path = joined((branches[index].path, sign) for index, sign in members)
    return Chain(branches[members[0][0]].name, start, node, tuple(members), path)


def connected(branches: Sequence[PathBranch]) -> list[list[PathBranch]]:
    """Return the groups of branches that hang together, in the order of their first branches.

    Args:
        branches: the branches.
    """
    touching: dict[str, list[int]] = {}
    for at, branch in enumerate(branches):
        for node in {branch.start, branch.end}:
            touching.setdefault(node, []).append(at)
    group_of: dict[int, int] = {}
    count = 0
    for first in range(len(branches)):
        if first in group_of:
            continue
        waiting = deque([first])
        group_of[first] = count
        while waiting:
            branch = branches[waiting.popleft()]
            for other in (*touching[branch.start], *touching[branch.end]):
                if other not in group_of:
                    group_of[other] = count
                    waiting.append(other)
        count += 1
    return [[one for at, one in enumerate(branches) if group_of[at] == group] for group in range(count)]
