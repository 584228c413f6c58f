"""What flows in a loop, as its heat asks: at a temperature, with another coolant or radiator, with a fault.

Owns: asking the network for these. Does not own: solving it (`kb/loops/flow/network.py`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_path import FlowPath, Restriction, joined
from kb.formulas.flow.flow_paths import Branch
from kb.formulas.flow.pipe_network import NetworkState
from kb.formulas.flow.series_network import changed
from kb.loops.flow.network import Change, LoopNetwork, flows_alone, solve_flow
from kb.loops.flow.parts import device_flow_path
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.radiators import Radiator


class HeatFlows:
    """Flows of one loop; made anew for each question."""

    def __init__(self, snapshot: Snapshot, loop: ResolvedLoop, network: LoopNetwork) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._network = network
        self._guess: Mapping[str, float] = {}
        self.budget = loop.budget
        self.branches = tuple(Branch(one.name, one.start, one.end) for one in network.branches.values())

    def state(self, coolant: Coolant) -> NetworkState:
        """Return flows and pressures at the usual resistances.

        Args:
            coolant: what flows, at its mean temperature.
        """
        self.budget.check("flow of the heat")
        state = solve_flow(self._network, coolant, Restriction.USUAL, (), self._guess)
        self._guess = state.flows_l_min
        return state

    def flows(
        self, coolant: Coolant, restriction: Restriction = Restriction.USUAL, changes: Sequence[Change] = ()
    ) -> Mapping[str, float]:
        """Return flows alone [l/min].

        Args:
            coolant: what flows, at its mean temperature.
            restriction: which end of every known range is taken.
            changes: what is different.
        """
        self.budget.check("flow of the heat")
        return flows_alone(self._network, coolant, restriction, changes, self._guess)

    def with_radiator(self, coolant: Coolant, name: str, row: Radiator) -> Mapping[str, float]:
        """Return the flows with another core in the place of a radiator [l/min].

        Args:
            coolant: what flows.
            name: the radiator.
            row: the other core. A drop that the question states for the radiator still counts.
        """
        flow_path = device_flow_path(self._snapshot, replace(self._loop.parts[name], row=row))
        return self._with_path(coolant, name, flow_path.path)

    def with_twice(self, coolant: Coolant, name: str) -> Mapping[str, float]:
        """Return the flows with a part twice behind each other [l/min].

        Args:
            coolant: what flows.
            name: the part.
        """
        path = self._network.branches[name].flow_path.path
        return self._with_path(coolant, name, joined([(path, 1), (path, 1)]))

    def _with_path(self, coolant: Coolant, name: str, path: FlowPath) -> Mapping[str, float]:
        circuits = tuple(
            one._replace(network=changed(one.network, {name: path})) if name in one.branches else one
            for one in self._network.circuits
        )
        other = self._network._replace(circuits=circuits)
        return flows_alone(other, coolant, Restriction.USUAL, (), self._guess)
