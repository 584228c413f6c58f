"""Whether coolant can go round, and goes the right way through pumps and blocks, whatever figures are given.

Owns: circuits without a running pump, pumps with exchanged ports, pumps and blocks that nothing flows through, blocks
that are fed from behind, heat without a radiator. Does not own: the graph (`kb/loops/topology.py`), limits, or how much
flows (`kb/loops/flow/`).
One cause is told once: of a circuit without a pump, with an exchanged pump or without a way round, nothing else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.flow.directions import Directions
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.loops.topology import STARS, circuits, device_ends, loop_directions, part_of, runs_at
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import Block

LOOP_FAMILY = ("family/loop",)
_OTHER = {"in": "out", "out": "in"}


def circulation_findings(snapshot: Snapshot, loop: ResolvedLoop, told: Collection[str]) -> list[Finding]:
    """Return what keeps the coolant of a loop from going round the right way; nothing for what is in order.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        told: blocks of which the heat of the loop tells already that they have no flow or no radiator.
    """
    found = list(_Circulation(snapshot, loop, told).findings())
    return [finding for finding in found if finding.judgement is not Judgement.PASS]


class _Circulation:
    """Judges one loop; used once."""

    def __init__(self, snapshot: Snapshot, loop: ResolvedLoop, told: Collection[str]) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._told = told
        self._directions: Directions = loop_directions(loop)
        self._neighbours = _neighbours(loop)

    def findings(self) -> Iterator[Finding]:
        place = self._loop.question.name
        if not any(runs_at(self._loop, part) for part in self._loop.parts.values()):
            yield self._no_pump(place)
            return
        for names in circuits(self._loop.question):
            yield from self._circuit([self._loop.parts[name] for name in names], place)

    def _circuit(self, parts: Sequence[LoopPart], loop: str) -> Iterator[Finding]:
        pumps = [part for part in parts if runs_at(self._loop, part)]
        blocks = [part for part in parts if part.asked.kind == "block"]
        if not pumps:
            if blocks and len(parts) > 1:  # a block that nothing is connected to is told as such
                yield self._no_pump(f"{loop}: circuit of {blocks[0].name}")
            return
        stuck = [pump for pump in pumps if not self._directions.carries.get(pump.name, True)]
        exchanged = [pump for pump in pumps if self._is_exchanged(pump)]
        yield from (self._finding("flow-paths", 0, pump) for pump in stuck)
        yield from (self._finding("parts-backwards", 1, pump) for pump in exchanged)
        if len(stuck) < len(pumps) and not exchanged:
            yield from self._blocks(blocks, any(part.asked.kind == "radiator" for part in parts))

    def _no_pump(self, place: str) -> Finding:
        return judge_number(self._snapshot, Number("quantity/pumps", 0.0, ()), LOOP_FAMILY, place)

    def _blocks(self, blocks: Sequence[LoopPart], has_radiator: bool) -> Iterator[Finding]:
        for block in blocks:
            heat_w = block.asked.heat_w if isinstance(block.asked, Block) else None
            if not self._directions.carries.get(block.name, True):
                if block.name not in self._told and heat_w != 0:
                    yield self._finding("flow-paths", 0, block)
                continue
            if self._directions.signs.get(block.name) == -1 and _says_sides(block):
                yield self._finding("parts-backwards", 1, block)
            if heat_w and not has_radiator and block.name not in self._told:
                heat = Fact(block.name, "heat_w", heat_w, "", "")
                yield self._finding("heat-without-radiator", heat_w, block, heat)

    def _finding(self, quantity: str, value: float, part: LoopPart, *inputs: Fact) -> Finding:
        number = Number(f"quantity/{quantity}", float(value), inputs)
        return judge_number(self._snapshot, number, part.families, part.name)

    def _is_exchanged(self, pump: LoopPart) -> bool:
        """Return whether inlet meets inlets, or outlet outlets, and a run is said to lead against the pump.

        Names of ports alone would not do: those of reservoirs and radiators are often given without a thought.
        """
        ends = device_ends(pump)
        if ends is None or not ends.are_named:
            return False
        ports = {"in": f"{pump.name}.{ends.inlet}", "out": f"{pump.name}.{ends.outlet}"}
        meets = {side: self._sides_met(port) for side, port in ports.items()}
        if any(_OTHER[side] in met for side, met in meets.items()) or not any(meets.values()):
            return False
        return any(run.from_ == ports["in"] or run.to == ports["out"] for run in self._loop.question.runs)

    def _sides_met(self, port: str) -> set[str]:
        """Return which sides of devices and reservoirs a port leads to, through fittings."""
        seen, ahead, sides = {port}, [port], set[str]()
        while ahead:
            for other in self._neighbours.get(ahead.pop(), ()):
                if other in seen:
                    continue
                seen.add(other)
                part = self._loop.parts[part_of(other)]
                if part.asked.kind == "fitting":
                    ahead += [f"{part.name}.{name}" for name in part.ports]
                    ahead.append(other)
                else:
                    sides |= {side for side in (_side(part, other),) if side is not None}
        return sides


def _says_sides(part: LoopPart) -> bool:
    ends = device_ends(part)
    return ends is not None and ends.are_named


def _side(part: LoopPart, port: str) -> str | None:
    name = port.split(".", 1)[1]
    if part.asked.kind in STARS:
        return next((side for side in ("in", "out") if name.startswith(side)), None)
    ends = device_ends(part)
    return ends.side(name) if ends is not None else None


def _neighbours(loop: ResolvedLoop) -> Mapping[str, list[str]]:
    """Return the ports at the other end of the runs of each port."""
    found: dict[str, list[str]] = {}
    for run in loop.question.runs:
        found.setdefault(run.from_, []).append(run.to)
        found.setdefault(run.to, []).append(run.from_)
    return found
