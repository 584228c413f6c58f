"""A loop as it is asked, with every part, port, tube and fitting found: looked up once, for all that is judged.

Owns: the way from the loop question to resolved parts, and its errors. Does not own: the form of the question
(`schemas/questions/loop.py`) or judging anything.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, TypeAlias

from kb.loops.deadline import UNLIMITED, Budget
from kb.parts.near_ids import near_ids
from kb.parts.part import Element, Part
from kb.parts.ranges import check_figures
from kb.parts.resolver import Resolver
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.columns.figures import stated_figures
from schemas.questions.loop import AnyComponent, BranchingFitting, LoopQuestion, PumpInLoop, RadiatorInLoop, Run
from schemas.questions.questions import AnyInlinePart, InlinePart
from schemas.tables.blocks import Block
from schemas.tables.fans import Fan
from schemas.tables.pumps import Pump
from schemas.tables.radiators import Radiator
from schemas.tables.reservoirs import Reservoir

DeviceRow: TypeAlias = Block | Pump | Radiator | Reservoir
_ROW_OF_KIND: Mapping[str, type[Any]] = MappingProxyType(
    {"block": Block, "pump": Pump, "radiator": Radiator, "reservoir": Reservoir}
)
_RESERVOIR_PORTS = ("in", "out", "fill", "drain")


@dataclass(frozen=True, slots=True, eq=False)
class LoopPart:
    """A device of the loop, or a fitting that stands in it by itself.

    Attributes:
        name: its name in the question.
        asked: what the question says of it.
        row: its archetype; `None` if it names none, or is a filter, sensor or fitting.
        body: the fitting it is; `None` for devices.
        families: ids whose limits and usual materials apply, nearest first.
        ports: name of each port without the part's, such as `in`.
    """

    name: str
    asked: AnyComponent
    row: DeviceRow | None
    body: Part | None
    families: tuple[str, ...]
    ports: Mapping[str, Element]


@dataclass(frozen=True, slots=True, eq=False)
class LoopRun:
    """A run of the loop.

    Attributes:
        index: its place in the question.
        name: `pump.out to cpu.in`.
        asked: what the question says of it.
        start: the first port.
        end: the last port.
        first: fittings from the first port to the tube.
        tube: the tube, if it has one.
        last: fittings from the last port to the tube.
    """

    index: int
    name: str
    asked: Run
    start: Element
    end: Element
    first: tuple[Part, ...]
    tube: Part | None
    last: tuple[Part, ...]


@dataclass(frozen=True, slots=True, eq=False)
class ResolvedLoop:
    """A loop with everything found that it names.

    Attributes:
        question: the loop as asked.
        parts: by name.
        ports: `pump.out` -> the port.
        runs: in the order of the question.
        plugs: port -> what closes it.
        fluid: the coolant; `None` if the question names none.
        conditions: quantity id -> value the asker stated.
        budget: how long it may be thought about.
        met: id of a requirement that the asker states to be met -> where the question says so.
    """

    question: LoopQuestion
    parts: Mapping[str, LoopPart]
    ports: Mapping[str, Element]
    runs: tuple[LoopRun, ...]
    plugs: Mapping[str, Part]
    fluid: Part | None
    conditions: Mapping[str, float]
    budget: Budget = UNLIMITED
    met: Mapping[str, str] = field(default_factory=dict)


def resolve_loop(
    snapshot: Snapshot,
    resolver: Resolver,
    question: LoopQuestion,
    conditions: Mapping[str, float],
    budget: Budget = UNLIMITED,
    met: Mapping[str, str] = MappingProxyType({}),
) -> ResolvedLoop:
    """Return a loop with everything found that it names.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        question: the loop.
        conditions: quantity id -> value the asker stated.
        budget: how long the loop may be thought about.
        met: id of a requirement that the asker states to be met -> where the question says so.

    Raises:
        QuestionError: if a part or port does not exist, or is of a kind that does not fit there, or a figure lies
            outside the range of its quantity.
    """
    check_figures(snapshot, stated_figures(question, leave_out=(InlinePart,)))
    parts = {name: _part(snapshot, resolver, name, one) for name, one in question.parts.items()}
    ports = {f"{name}.{port}": element for name, part in parts.items() for port, element in part.ports.items()}
    _check_names(question, parts, ports)
    return ResolvedLoop(
        question=question,
        parts=MappingProxyType(parts),
        ports=MappingProxyType(ports),
        runs=tuple(_run(resolver, ports, index, run) for index, run in enumerate(question.runs)),
        plugs=MappingProxyType(
            {port: resolver.part(one, f"plugs.{port}", "fitting") for port, one in question.plugs.items()}
        ),
        fluid=_fluid(resolver, question),
        conditions=conditions,
        budget=budget,
        met=met,
    )


def _fluid(resolver: Resolver, question: LoopQuestion) -> Part | None:
    return None if question.fluid is None else resolver.part(question.fluid, "fluid", "fluid")


def _part(snapshot: Snapshot, resolver: Resolver, name: str, asked: AnyComponent) -> LoopPart:
    if isinstance(asked, BranchingFitting):
        body = resolver.part(asked.is_, f"parts.{name}.is", "fitting")
        ends = {end.label.rsplit(" ", 1)[-1]: end for end in body.elements}
        ports = {letter: dataclasses.replace(end, label=f"{name}.{letter}") for letter, end in ends.items()}
        return LoopPart(name, asked, None, body, body.families, MappingProxyType(ports))
    row = _row(resolver, name, asked)
    _check_named(resolver, name, asked)
    own = (row.id, *snapshot.families(row.family_id)) if row is not None else snapshot.families(f"family/{asked.kind}")
    return LoopPart(name, asked, row, None, own, MappingProxyType(dict(_ports(resolver, name, asked, row))))


def _check_named(resolver: Resolver, name: str, asked: AnyComponent) -> None:
    """Refuse materials and fans that do not exist, whatever sections are asked for."""
    resolver.materials({role.value: one for role, one in asked.materials.items()}, f"parts.{name}.materials")
    if isinstance(asked, RadiatorInLoop) and asked.fans is not None:
        resolver.row(Fan, asked.fans.is_, f"parts.{name}.fans.is")


def _row(resolver: Resolver, name: str, asked: AnyComponent) -> DeviceRow | None:
    if asked.is_ is None:
        return None
    field, row_class = f"parts.{name}.is", _ROW_OF_KIND.get(asked.kind)
    if row_class is None:
        raise QuestionError(field, f"no table holds a {asked.kind}", "leave it out and give its ports and its drop")
    found: DeviceRow = resolver.row(row_class, asked.is_, field)
    return found


def _ports(resolver: Resolver, name: str, asked: AnyComponent, row: DeviceRow | None) -> Iterator[tuple[str, Element]]:
    references: Mapping[str, str | AnyInlinePart] = asked.ports or _usual_ports(name, asked, row)
    for port, reference in references.items():
        field = f"parts.{name}.ports.{port}"
        part = resolver.part(reference, field, "port")
        yield port, dataclasses.replace(part.elements[0], label=f"{name}.{port}")


def _usual_ports(name: str, asked: AnyComponent, row: DeviceRow | None) -> dict[str, str]:
    """Return the ports an archetype has: in and out, and further ones of a reservoir."""
    if row is None or row.port_id is None:
        what = f"{row.id if row else asked.kind} has no ports of its own"
        raise QuestionError(f"parts.{name}.ports", what, "give its ports, such as in and out")
    if isinstance(row, Reservoir):
        more = tuple(f"port-{number}" for number in range(len(_RESERVOIR_PORTS) + 1, row.ports + 1))
        return dict.fromkeys((*_RESERVOIR_PORTS, *more)[: row.ports], row.port_id)
    if isinstance(asked, PumpInLoop) and asked.sits_in is not None:
        return {"out": row.port_id}
    return {"in": row.port_id, "out": row.port_id}


def _check_names(question: LoopQuestion, parts: Mapping[str, LoopPart], ports: Mapping[str, Element]) -> None:
    for index, run in enumerate(question.runs):
        _check_port(ports, run.from_, f"runs.{index}.from")
        _check_port(ports, run.to, f"runs.{index}.to")
    for port in question.plugs:
        _check_port(ports, port, f"plugs.{port}")
    for index, spacing in enumerate(question.spacings):
        for port in spacing.ports:
            _check_port(ports, port, f"spacings.{index}.ports")
    for name, part in parts.items():
        if isinstance(part.asked, PumpInLoop) and part.asked.sits_in is not None:
            _check_part(parts, part.asked.sits_in, "reservoir", f"parts.{name}.sits_in")
        for other in getattr(part.asked, "air_from", ()):
            _check_part(parts, other, "radiator", f"parts.{name}.air_from.{other}")


def _check_port(ports: Mapping[str, Element], port: str, field: str) -> None:
    if port not in ports:
        raise QuestionError(field, f"no part has a port {port!r}", "name it part.port", near_ids(port, list(ports)))


def _check_part(parts: Mapping[str, LoopPart], name: str, kind: str, field: str) -> None:
    if name not in parts or parts[name].asked.kind != kind:
        those = [one for one, part in parts.items() if part.asked.kind == kind]
        raise QuestionError(field, f"no {kind} is called {name!r}", f"name a {kind} of the loop", near_ids(name, those))


def _run(resolver: Resolver, ports: Mapping[str, Element], index: int, run: Run) -> LoopRun:
    field = f"runs.{index}"
    return LoopRun(
        index=index,
        name=f"{run.from_} to {run.to}",
        asked=run,
        start=ports[run.from_],
        end=ports[run.to],
        first=tuple(_fittings(resolver, run.fittings_from, f"{field}.fittings_from")),
        tube=resolver.part(run.tube, f"{field}.tube", "tube") if run.tube is not None else None,
        last=tuple(_fittings(resolver, run.fittings_to, f"{field}.fittings_to")),
    )


def _fittings(resolver: Resolver, references: Sequence[str | AnyInlinePart], field: str) -> Iterator[Part]:
    return (resolver.part(one, f"{field}.{at}", "fitting") for at, one in enumerate(references))
