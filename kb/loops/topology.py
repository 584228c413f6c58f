"""How the ports of a loop hang together: inlets, outlets, circuits, and which way coolant can go, whatever is known.

Owns: which port of a device is inlet and which outlet, circuits of parts, the graph of a loop without any figure.
Does not own: direction of flow in a graph (`kb/formulas/flow/directions.py`), the network with figures
(`kb/loops/flow/network.py`) or judging.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from kb.formulas.flow.directions import Directions, Way, directions
from kb.loops.loop import LoopPart, ResolvedLoop
from schemas.questions.loop import BranchingFitting, LoopQuestion, PumpInLoop

STARS = frozenset({"reservoir", "fitting"})
PUMP_SPEED = "quantity/pump-speed"


class DeviceEnds(NamedTuple):
    """The two sides of a device.

    Attributes:
        inlet: its port; `None` of a pump that opens straight into a reservoir.
        outlet: its port.
        inside: that reservoir, `None` of other devices.
    """

    inlet: str | None
    outlet: str
    inside: str | None

    def nodes(self, part: str) -> tuple[str, str]:
        """Return the nodes where a device of this name starts and ends."""
        return self.inside or f"{part}.{self.inlet}", f"{part}.{self.outlet}"

    @property
    def are_named(self) -> bool:
        """Return whether the names of the ports say which is inlet and which outlet."""
        return self.inlet is not None and self.inlet.startswith("in") and self.outlet.startswith("out")

    def side(self, port: str) -> str | None:
        """Return `in` or `out` for a port of the device; `None` if its name does not say."""
        if port == self.outlet or (port != self.inlet and port.startswith("out")):
            return "out"
        return "in" if port == self.inlet or port.startswith("in") else None


def device_ends(part: LoopPart) -> DeviceEnds | None:
    """Return inlet and outlet of a device; `None` if it has no two sides.

    Args:
        part: a block, pump, radiator, filter or sensor.
    """
    ports, asked = list(part.ports), part.asked
    inside = asked.sits_in if isinstance(asked, PumpInLoop) else None
    outlet = "out" if "out" in ports else ports[-1] if inside or len(ports) > 1 else None
    inlet = "in" if "in" in ports else next((port for port in ports if port != outlet), None)
    if outlet is None or (inlet is None and inside is None):
        return None
    return DeviceEnds(inlet, outlet, inside)


def part_of(port: str) -> str:
    """Return the part of a port such as `cpu.in`."""
    return port.split(".", 1)[0]


def direct_links(question: LoopQuestion) -> tuple[tuple[str, str], ...]:
    """Return each reservoir with the pump that opens straight into it."""
    pumps = ((name, one) for name, one in question.parts.items() if isinstance(one, PumpInLoop))
    return tuple((one.sits_in, name) for name, one in pumps if one.sits_in is not None)


def circuits(question: LoopQuestion) -> tuple[tuple[str, ...], ...]:
    """Return the groups of parts that runs connect, in the order of the question.

    Args:
        question: the loop.
    """
    leader = {name: name for name in question.parts}

    def find(name: str) -> str:
        while leader[name] != name:
            leader[name] = leader[leader[name]]
            name = leader[name]
        return name

    for one, other in _neighbours(question):
        leader[find(one)] = find(other)
    groups: dict[str, list[str]] = {}
    for name in question.parts:
        groups.setdefault(find(name), []).append(name)
    return tuple(tuple(group) for group in groups.values())


def _neighbours(question: LoopQuestion) -> Iterator[tuple[str, str]]:
    yield from ((part_of(run.from_), part_of(run.to)) for run in question.runs)
    yield from direct_links(question)


def runs_at(loop: ResolvedLoop, part: LoopPart) -> bool:
    """Return whether a pump runs: its speed is not stated to be zero.

    Args:
        loop: the loop.
        part: the pump.
    """
    asked = part.asked
    if not isinstance(asked, PumpInLoop):
        return False
    speed = asked.speed_percent if asked.speed_percent is not None else loop.conditions.get(PUMP_SPEED)
    return speed is None or speed > 0


def loop_directions(loop: ResolvedLoop) -> Directions:
    """Return which way coolant goes through each device of a loop, as far as no figure is needed.

    Args:
        loop: the loop.
    """
    return directions(tuple(_ways(loop)))


def _ways(loop: ResolvedLoop) -> Iterator[Way]:
    merged = dict(_merged(loop))
    for part in loop.parts.values():
        ends = device_ends(part) if part.asked.kind not in STARS else None
        if ends is not None:
            yield Way(part.name, *ends.nodes(part.name), runs_at(loop, part))
    for run in loop.question.runs:
        start, end = merged.get(run.from_, run.from_), merged.get(run.to, run.to)
        yield Way(f"run {run.from_} {run.to}", start, end)


def _merged(loop: ResolvedLoop) -> Iterator[tuple[str, str]]:
    """Yield each port that is one place with another: ports of reservoirs and open fittings, further ports of devices.

    Of a shut valve all ports but the first stay places of their own.
    """
    in_use = frozenset(port for run in loop.question.runs for port in (run.from_, run.to))
    for part in loop.parts.values():
        if part.asked.kind in STARS:
            closed = isinstance(part.asked, BranchingFitting) and part.asked.closed
            used = [port for port in part.ports if f"{part.name}.{port}" in in_use]
            yield from ((f"{part.name}.{port}", part.name) for port in (used[:1] if closed else used))
            continue
        ends = device_ends(part)
        if ends is not None:
            start, end = ends.nodes(part.name)
            sides: Mapping[str | None, str] = MappingProxyType({"in": start, "out": end})
            named = ((f"{part.name}.{port}", sides.get(ends.side(port))) for port in part.ports)
            yield from ((port, node) for port, node in named if node is not None)
