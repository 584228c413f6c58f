"""What stands in a loop, by family and archetype: the subjects that steps and maintenance speak of.

Owns: gathering families of parts, tubes, fittings, materials and the fluid, with their places. Does not own: the rows
that speak of them (procedures.csv, maintenance.csv).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from kb.loops.loop import ResolvedLoop
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.tables.materials import Material

LOOP = "family/loop"
FITTINGS = "fittings"


def subjects_of(snapshot: Snapshot, loop: ResolvedLoop) -> Mapping[str, tuple[str, ...]]:
    """Return every family and archetype in a loop with the places where it stands; the loop itself without a place.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    found: dict[str, dict[str, None]] = {LOOP: {}}
    for place, ids in _placed(snapshot, loop):
        for one in ids:
            found.setdefault(one, {})[place] = None
    return {one: tuple(places) for one, places in found.items()}


def _placed(snapshot: Snapshot, loop: ResolvedLoop) -> Iterator[tuple[str, Iterable[str]]]:
    for name, part in loop.parts.items():
        yield name, part.families
        given = {role.value: material for role, material in part.asked.materials.items()}
        yield name, _materials(snapshot, part.families, given)
        if part.body is not None:
            yield from _body(snapshot, name, part.body)
    known: set[int] = set()  # a dozen fittings are mostly one archetype
    for run in loop.runs:
        if run.tube is not None:
            yield from _body(snapshot, run.name, run.tube)
        for fitting in (*run.first, *run.last):
            if id(fitting) not in known:
                known.add(id(fitting))
                yield from _body(snapshot, FITTINGS, fitting)
    for plug in loop.plugs.values():
        yield from _body(snapshot, FITTINGS, plug)
    if loop.fluid is not None:
        yield "fluid", loop.fluid.elements[0].families
        for additive in loop.fluid.additives:
            yield additive.row.id, additive.families


def _body(snapshot: Snapshot, place: str, part: Part) -> Iterator[tuple[str, Iterable[str]]]:
    yield place, part.families
    for element in part.elements:
        yield place, element.families
    yield place, _materials(snapshot, part.families, dict(part.materials))


def _materials(snapshot: Snapshot, families: tuple[str, ...], given: Mapping[str, str | None]) -> Iterator[str]:
    """Yield materials and their families: those the asker names, and the usual ones of other surfaces."""
    usual = {role.value: row.material_id for role, row in snapshot.wetted(families).items()}
    for material in dict.fromkeys({**usual, **given}.values()):
        row = snapshot.row(material) if material is not None else None
        if isinstance(row, Material):
            yield row.id
            yield from snapshot.families(row.family_id)
